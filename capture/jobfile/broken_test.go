package jobfile

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
)

var update = flag.Bool("update", false, "write the messages of broken job files anew")

const folder = "../../testdata/jobfile"

func TestBrokenFilesGetTheirMessage(t *testing.T) {
	files, err := filepath.Glob(folder + "/broken/*.yaml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 50)
	var kinds []string
	for _, k := range job.Kinds() {
		kinds = append(kinds, k.Name)
	}
	// Which kinds there are is for their table to say.
	table := strings.NewReplacer(strings.Join(kinds, ", "), "KINDS")
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".yaml"), func(t *testing.T) {
			data, err := os.ReadFile(file)
			require.NoError(t, err)
			_, err = Parse("job.yaml", data)
			require.Error(t, err)
			assert.NotContains(t, err.Error(), "\n")
			assert.True(t, strings.HasPrefix(err.Error(), "job.yaml"))
			golden := strings.TrimSuffix(file, ".yaml") + ".txt"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(table.Replace(err.Error())+"\n"), 0o644))
			}
			want, readErr := os.ReadFile(golden)
			require.NoError(t, readErr)
			assert.Equal(t, strings.TrimSpace(string(want)), table.Replace(err.Error()))
		})
	}
}
