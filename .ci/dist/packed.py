#!/usr/bin/env python3
"""Looks at what make dist wrote as whoever gets it would: packed.py DIST WORK AGAIN

AGAIN holds what a second make dist wrote from the same commit. Installs the Debian
package in an empty root, without Go, shell or libraries, and runs the demo there.
"""
import hashlib, os, subprocess, sys, tarfile, zipfile

from common import check, say

SINGLE = ["linux-amd64", "linux-arm64", "linux-amd64-alsa"]


def run(*command, **options):
    p = subprocess.run(command, capture_output=True, text=True, **options)
    check(p.returncode == 0, " ".join(command), p.stdout[-2000:], p.stderr[-2000:])
    return p.stdout


def sums(dist):
    with open(os.path.join(dist, "SHA256SUMS"), encoding="ascii") as f:
        listed = dict(reversed(line.split()) for line in f)
    made = {f for f in os.listdir(dist) if f.startswith("hisspoint-") and f != "hisspoint-nosound.exe"}
    check(set(listed) == made, "checksums are of", sorted(listed), "and there are", sorted(made))
    for name, sha in listed.items():
        with open(os.path.join(dist, name), "rb") as f:
            check(hashlib.sha256(f.read()).hexdigest() == sha, name, "differs from its checksum")
    return listed


def archives(dist, work):
    wanted = {"LICENSE", "README.md", "THIRD-PARTY.txt", "help.html", "completions/hisspoint.bash"}
    for name in SINGLE:
        with tarfile.open(os.path.join(dist, "hisspoint-%s.tar.gz" % name)) as t:
            inside = {m.name.split("/", 1)[1] for m in t.getmembers()}
            check(wanted | {"hisspoint", "man1/hisspoint-report.1", "man7/hisspoint-levels.7"} <= inside, name, "lacks", wanted - inside)
            t.extractall(os.path.join(work, "unpacked"))
    with zipfile.ZipFile(os.path.join(dist, "hisspoint-windows-amd64.zip")) as z:
        inside = {n.split("/", 1)[1] for n in z.namelist()}
        check(wanted | {"hisspoint.exe", "FIRST-STEPS.txt"} <= inside, "the zip lacks", wanted - inside)
        check(b"Double-click" in z.read("hisspoint-windows-amd64/FIRST-STEPS.txt"), "first steps")
    with open(os.path.join(work, "unpacked", "hisspoint-linux-amd64", "THIRD-PARTY.txt"), encoding="utf-8") as f:
        text = f.read()
    for word in ("go-fonts/liberation", "SIL OPEN FONT LICENSE", "Go and its standard library", "spf13/cobra", "goldmark"):
        check(word in text, "no licence of", word)


def unpacked(work):
    """From an archive on a machine without Go: demo and help."""
    folder = os.path.join(work, "unpacked", "hisspoint-linux-amd64")
    bare = {"PATH": "/nonexistent", "HOME": work}
    shown = run(os.path.join(folder, "hisspoint"), "demo", cwd=work, env=bare)
    check("PASS" in shown and os.path.exists(os.path.join(work, "hisspoint-demo", "report.pdf")), "the demo from the archive", shown)
    check("Topics" in run(os.path.join(folder, "hisspoint"), "help", env=bare), "help from the archive")


def installed(dist, work):
    root = os.path.join(work, "root")
    for d in ("var/lib/dpkg/info", "var/lib/dpkg/updates", "var/lib/dpkg/triggers", "tmp"):
        os.makedirs(os.path.join(root, d))
    open(os.path.join(root, "var/lib/dpkg/status"), "w").close()
    deb = os.path.join(dist, "hisspoint-linux-amd64.deb")
    become = [] if os.geteuid() == 0 else ["unshare", "-r"]
    run(*become, "dpkg", "--root=" + root, "--log=/dev/null", "--force-script-chrootless", "-i", deb)
    shown = run(*become, "chroot", root, "/usr/bin/hisspoint", "demo", "--dir", "/tmp/demo")
    check("PASS" in shown and os.path.exists(os.path.join(root, "tmp/demo/report.pdf")), "the demo from the package", shown)
    version = run(*become, "chroot", root, "/usr/bin/hisspoint", "version", "--json")
    check('"commit": "' + run("git", "rev-parse", "HEAD").strip() in version, version)
    for page in ("man1/hisspoint.1.gz", "man1/hisspoint-job-add.1.gz", "man7/hisspoint-start.7.gz"):
        path = os.path.join(root, "usr/share/man", page)
        lint = subprocess.run("gzip -dc %s | mandoc -Tlint -Wwarning" % path, shell=True, capture_output=True, text=True)
        check(lint.returncode == 0, page, lint.stdout)
    rpm = os.path.join(dist, "hisspoint-linux-amd64.rpm")
    files = run("rpm", "-qpl", rpm)
    check("/usr/bin/hisspoint\n" in files and "/usr/share/doc/hisspoint/THIRD-PARTY.txt" in files, files)
    run("rpm", "-K", "--nosignature", rpm)


def main(dist, work, again):
    os.makedirs(work, exist_ok=True)
    listed = sums(dist)
    say("%d files have their checksums" % len(listed))
    check(listed == sums(again), "a second make from the same commit differs:", sorted(k for k in listed if listed[k] != sums(again).get(k)))
    say("made twice, the same bytes")
    archives(dist, work)
    unpacked(work)
    say("unpacked, without Go: demo and help")
    installed(dist, work)
    say("the Debian package in an empty root: demo, version, pages for man; the RPM's list")


if __name__ == "__main__":
    main(*sys.argv[1:])
