package pdf

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"
	"time"

	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// xmp is the document's metadata as XMP (ISO 16684-1): title, subject, author, language,
// date and tool, the same as in the PDF's own dictionary.
func xmp(d doc.Document, when time.Time) []byte {
	text := func(s string) string {
		var b bytes.Buffer
		_ = xml.EscapeText(&b, []byte(bmp(s))) // a buffer takes everything
		return b.String()
	}
	stamp := when.Format("2006-01-02T15:04:05Z")
	return []byte(fmt.Sprintf(`<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:title>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:description>
<dc:creator><rdf:Seq><rdf:li>%s</rdf:li></rdf:Seq></dc:creator>
<dc:language><rdf:Bag><rdf:li>%s</rdf:li></rdf:Bag></dc:language>
<xmp:CreateDate>%s</xmp:CreateDate><xmp:ModifyDate>%s</xmp:ModifyDate><xmp:CreatorTool>%s</xmp:CreatorTool>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>`, text(d.Title), text(d.About), text(strings.Join(say.CleanLines(d.From), ", ")), languageOf(d), stamp, stamp, text(d.Made)))
}
