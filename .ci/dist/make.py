#!/usr/bin/env python3
"""Makes what is given away, into a folder: make.py OUT

Programs for four targets; an archive for each with licence, notices of third parties,
manual, completions and the help as HTML; packages for Debian and RPM; a list of parts
(CycloneDX) and checksums. The same commit gives the same bytes: all times are those of
the commit, and nothing else of the machine goes in.

Needs Go, git and, for Windows, mingw (Debian: gcc-mingw-w64-x86-64). NFPM and
CYCLONEDX name programs that are installed; else they are fetched with Go.
"""
import datetime, glob, gzip, hashlib, io, os, shutil, stat, subprocess, sys, tarfile, tempfile, zipfile

NFPM = "github.com/goreleaser/nfpm/v2/cmd/nfpm@v2.48.0"
CYCLONEDX = "github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0"
TARGETS = [  # name, system, processor, build tags, C compiler
    ("linux-amd64", "linux", "amd64", "", ""),
    ("linux-arm64", "linux", "arm64", "", ""),
    ("linux-amd64-alsa", "linux", "amd64", "malgo", "gcc"),
    ("windows-amd64", "windows", "amd64", "malgo", "x86_64-w64-mingw32-gcc"),
]
ABOUT = "measures the audio of two-way radios from sound-card recordings"


def run(*command, **env):
    return subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True, env={**os.environ, **env}).stdout.strip()


class Stamp:
    """What the commit says: version, its name, its day and second."""

    def __init__(self):
        self.commit = run("git", "rev-parse", "HEAD")
        self.second = int(run("git", "log", "-1", "--format=%ct"))
        self.day = datetime.datetime.fromtimestamp(self.second, datetime.timezone.utc).strftime("%Y-%m-%d")
        tag = subprocess.run(["git", "describe", "--tags", "--exact-match", "--match", "v*"], capture_output=True, text=True)
        self.version = tag.stdout.strip().lstrip("v") if tag.returncode == 0 else "0.0.0~%s.%s" % (self.day.replace("-", ""), self.commit[:12])
        if run("git", "status", "--porcelain", "--untracked-files=no"):
            self.version += "+changed"


def build(out, stamp, target):
    name, system, arch, tags, compiler = target
    path = os.path.join(out, "hisspoint-" + name + (".exe" if system == "windows" else ""))
    flags = "-s -w -buildid= -X main.stampedVersion=%s -X main.stampedCommit=%s -X main.stampedDate=%s" % (stamp.version, stamp.commit, stamp.day)
    run("go", "build", "-trimpath", "-buildvcs=false", "-tags", tags, "-ldflags", flags, "-o", path, "./cmd/hisspoint",
        GOOS=system, GOARCH=arch, CGO_ENABLED="1" if compiler else "0", CC=compiler or "gcc")
    return path


def notices(target):
    """The licences of everything that is linked or embedded, fonts and Go's own library too."""
    _, system, arch, tags, compiler = target
    listed = run("go", "list", "-deps", "-tags", tags, "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", "./cmd/hisspoint",
                 GOOS=system, GOARCH=arch, CGO_ENABLED="1" if compiler else "0")
    modules = sorted({tuple(line.split("\t")) for line in listed.splitlines() if line.strip()})
    modules.append(("Go and its standard library", run("go", "env", "GOVERSION"), run("go", "env", "GOROOT")))
    parts = ["Hisspoint contains the following works of others, each under its own licence.\n"]
    for path, version, folder in modules:
        found = sorted(f for f in glob.glob(os.path.join(folder, "*"))
                       if os.path.basename(f).upper().startswith(("LICENSE", "LICENCE", "UNLICENSE", "COPYING", "NOTICE", "PATENTS")) and os.path.isfile(f))
        if not found:
            raise SystemExit("%s %s: has no licence in its folder" % (path, version))
        for f in found:
            with open(f, encoding="utf-8", errors="replace") as text:
                parts.append("%s\n%s %s: %s\n%s\n\n%s" % ("=" * 78, path, version, os.path.basename(f), "=" * 78, text.read().rstrip() + "\n"))
    return "\n".join(parts)


def manual(out, native):
    run(native, "manual", out)
    for page in glob.glob(os.path.join(out, "man*", "*")):
        with open(page, "rb") as plain, open(page + ".gz", "wb") as packed:
            with gzip.GzipFile(filename="", mode="wb", fileobj=packed, compresslevel=9, mtime=0) as g:
                g.write(plain.read())


def contents(work, program, target, stamp):
    """Files of an archive: name within, path or bytes, whether it is run."""
    windows = target[1] == "windows"
    files = [("hisspoint.exe" if windows else "hisspoint", program, True)]
    for name in ("LICENSE", "README.md"):
        files.append((name, name, False))
    files.append(("THIRD-PARTY.txt", notices(target).encode(), False))
    files.append(("help.html", os.path.join(work, "help.html"), False))
    for page in sorted(glob.glob(os.path.join(work, "man*", "*[0-9]"))):
        if not windows:
            files.append((os.path.relpath(page, work), page, False))
    for script in sorted(glob.glob(os.path.join(work, "completions", "*"))):
        files.append((os.path.relpath(script, work), script, False))
    if windows:
        steps = run(os.path.join(work, "native"), "help", "windows")
        files.append(("FIRST-STEPS.txt", (steps + "\n").replace("\n", "\r\n").encode(), False))
    return files


def data(source):
    if isinstance(source, bytes):
        return source
    with open(source, "rb") as f:
        return f.read()


def tar(path, top, files, stamp):
    with open(path, "wb") as raw, gzip.GzipFile(filename="", mode="wb", fileobj=raw, compresslevel=9, mtime=0) as packed, \
            tarfile.open(fileobj=packed, mode="w", format=tarfile.USTAR_FORMAT) as archive:
        for name, source, runs in files:
            body = data(source)
            info = tarfile.TarInfo(top + "/" + name)
            info.size, info.mtime, info.mode = len(body), stamp.second, 0o755 if runs else 0o644
            archive.addfile(info, io.BytesIO(body))


def zipped(path, top, files, stamp):
    when = datetime.datetime.fromtimestamp(stamp.second, datetime.timezone.utc).timetuple()[:6]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, source, runs in files:
            info = zipfile.ZipInfo(top + "/" + name, when)
            info.compress_type, info.create_system = zipfile.ZIP_DEFLATED, 3
            info.external_attr = (stat.S_IFREG | (0o755 if runs else 0o644)) << 16
            archive.writestr(info, data(source))


def packages(out, work, program, target, stamp, nfpm):
    """A package for Debian and one for RPM of a program that needs nothing else."""
    root = os.path.join(work, "root-" + target[0])
    place = lambda *p: os.path.join(root, *p)
    share = "usr/share/"
    copies = {"usr/bin/hisspoint": program, share + "doc/hisspoint/copyright": "LICENSE", share + "doc/hisspoint/README.md": "README.md",
              share + "doc/hisspoint/help.html": os.path.join(work, "help.html"),
              share + "bash-completion/completions/hisspoint": os.path.join(work, "completions", "hisspoint.bash"),
              share + "zsh/vendor-completions/_hisspoint": os.path.join(work, "completions", "_hisspoint"),
              share + "fish/vendor_completions.d/hisspoint.fish": os.path.join(work, "completions", "hisspoint.fish")}
    for page in glob.glob(os.path.join(work, "man*", "*.gz")):
        copies[share + "man/" + os.path.relpath(page, work)] = page
    third = os.path.join(work, "THIRD-PARTY-" + target[0])
    with open(third, "w", encoding="utf-8") as f:
        f.write(notices(target))
    copies[share + "doc/hisspoint/THIRD-PARTY.txt"] = third
    entries = []
    for to, source in sorted(copies.items()):
        os.makedirs(os.path.dirname(place(to)), exist_ok=True)
        shutil.copyfile(source, place(to))
        mode = 0o755 if to.startswith("usr/bin/") else 0o644
        entries.append("  - {src: %s, dst: /%s, file_info: {mode: 0%o, mtime: %sT00:00:00Z, owner: root, group: root}}" % (place(to), to, mode, stamp.day))
    config = os.path.join(work, "nfpm-%s.yaml" % target[0])
    with open(config, "w", encoding="utf-8") as f:
        f.write("name: hisspoint\narch: %s\nplatform: linux\nversion: %s\nversion_schema: none\nsection: hamradio\npriority: optional\nmtime: %sT00:00:00Z\n"
                "maintainer: Hisspoint <hisspoint@example.invalid>\ndescription: |\n  %s\nlicense: MIT\ncontents:\n%s\nrpm: {buildhost: localhost}\n"
                % (target[2], stamp.version, stamp.day, ABOUT, "\n".join(entries)))
    for kind in ("deb", "rpm"):
        run(nfpm, "package", "--config", config, "--packager", kind, "--target", os.path.join(out, "hisspoint-%s.%s" % (target[0], kind)), SOURCE_DATE_EPOCH=str(stamp.second))


def tool(work, variable, module):
    """A program for packing: named in the environment, or fetched."""
    if os.environ.get(variable):
        return os.environ[variable]
    run("go", "install", module, GOBIN=work, GOFLAGS="-mod=mod")
    return os.path.join(work, os.path.basename(module.split("@")[0]))


def parts(out, target, stamp, cyclonedx):
    """The list of parts of a program. The module's own version in it is the stamp."""
    _, system, arch, tags, compiler = target
    path = os.path.join(out, "hisspoint-%s.cdx.json" % target[0])
    run(cyclonedx, "app", "-json", "-licenses", "-noserial", "-notimestamp", "-main", "cmd/hisspoint", "-output", path, ".",
        GOOS=system, GOARCH=arch, CGO_ENABLED="1" if compiler else "0", GOFLAGS="-tags=" + tags if tags else "")


def main(out):
    os.makedirs(out, exist_ok=True)
    out = os.path.abspath(out)
    stamp = Stamp()
    with tempfile.TemporaryDirectory() as work:
        nfpm, cyclonedx = tool(work, "NFPM", NFPM), tool(work, "CYCLONEDX", CYCLONEDX)
        programs = {t[0]: build(out, stamp, t) for t in TARGETS}
        native = os.path.join(work, "native")
        run("go", "build", "-trimpath", "-buildvcs=false", "-ldflags", "-X main.stampedVersion=%s -X main.stampedDate=%s" % (stamp.version, stamp.day),
            "-o", native, "./cmd/hisspoint", CGO_ENABLED="0")
        manual(work, native)
        for target in TARGETS:
            name, program = "hisspoint-" + target[0], programs[target[0]]
            files = contents(work, program, target, stamp)
            if target[1] == "windows":
                zipped(os.path.join(out, name + ".zip"), name, files, stamp)
            else:
                tar(os.path.join(out, name + ".tar.gz"), name, files, stamp)
            if target[1] == "linux" and not target[3]:
                packages(out, work, program, target, stamp, nfpm)
            parts(out, target, stamp, cyclonedx)
    made = sorted(f for f in os.listdir(out) if f.startswith("hisspoint-"))
    with open(os.path.join(out, "SHA256SUMS"), "w", encoding="ascii") as sums:
        for f in made:
            sums.write("%s  %s\n" % (hashlib.sha256(data(os.path.join(out, f))).hexdigest(), f))
    print("hisspoint %s: %d files in %s" % (stamp.version, len(made) + 1, out))


if __name__ == "__main__":
    os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
    if len(sys.argv) != 2:
        raise SystemExit("usage: make.py OUT")
    main(sys.argv[1])
