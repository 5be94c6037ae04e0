#!/usr/bin/env python3
"""Makes the zoo: small files of every format and every damage, truth.json with
what each one is or why it is to be refused, and samples.json with the sound in
them (integers, and the value of full scale).

The truth is the integers the files are made of, divided by full scale; it
never comes from the program under test. Where scipy or sox read a file right,
this script makes sure that they agree ("checked_with" in truth.json).

Formats: RIFF MCI specification 1.0 (1991) and RFC 2361; WAVE_FORMAT_EXTENSIBLE;
EBU Tech 3306 and ITU-R BS.2088 (ds64); ITU-T G.711; FLAC (RFC 9639).

Usage: make.py [--check]    with --check nothing is written, and it fails if the
files here are not what it would make.
"""
import json, math, os, struct, subprocess, sys, tempfile
import numpy as np
from scipy.io import wavfile

HERE = os.path.dirname(os.path.abspath(__file__))
OUT = tempfile.mkdtemp()
TRUTH, SAMPLES = [], []
rng = np.random.default_rng(4711)
U32 = 0xFFFFFFFF
WAVE_TAIL = struct.pack("<HH", 0, 0x10) + bytes.fromhex("800000aa00389b71")


def ints(bits, frames=40, channels=1):
    """Random integers of so many bits, with both extremes and 0 among them."""
    lo, hi = -(1 << bits - 1), (1 << bits - 1) - 1
    x = rng.integers(lo, hi + 1, (frames, channels))
    x[:3] = [[lo], [hi], [0]]
    return x


def pack(x, nbytes, be=False, unsigned=False):
    order = "big" if be else "little"
    if unsigned:
        return b"".join(int(v + 128).to_bytes(nbytes, order) for v in x.flat)
    return b"".join(int(v).to_bytes(nbytes, order, signed=True) for v in x.flat)


def chunk(cid, body, be=False, size=None, pad=True):
    n = len(body) if size is None else size
    return cid + struct.pack(">I" if be else "<I", n) + body + (b"\0" if pad and len(body) % 2 else b"")


def fmt(tag, ch, rate, bits, align=None, byterate=None, valid=None, be=False, tail=WAVE_TAIL, extra=b""):
    e = ">" if be else "<"
    align = ch * ((bits + 7) // 8) if align is None else align
    byterate = rate * align if byterate is None else byterate
    body = struct.pack(e + "HHIIHH", tag if valid is None else 0xFFFE, ch, rate, byterate & U32, align, bits)
    if valid is not None:
        if be:
            tail = struct.pack(">HH", 0, 0x10) + tail[4:]
        body += struct.pack(e + "HHI", 22, valid, 0) + struct.pack(e + "I", tag) + tail
    return chunk(b"fmt ", body + extra, be)


def riff(*chunks, cid=b"RIFF", be=False, size=None):
    body = b"WAVE" + b"".join(chunks)
    n = len(body) if size is None else size
    return cid + struct.pack(">I" if be else "<I", n) + body


def put(name, data, about, x=None, full=None, container="riff", encoding="pcm", bits=16, rate=8000, codes=(), refused=None, check=()):
    assert len(data) < 50000, name
    with open(os.path.join(OUT, name), "wb") as f:
        f.write(data)
    t = {"file": name, "about": about}
    if refused is not None:
        t["refused"] = refused
    else:
        s = np.asarray(x, dtype=float) / (1 if full is None else full)
        t |= {"container": container, "encoding": encoding, "bits": bits, "rate": rate,
              "codes": list(codes), "samples": shared(x, full), "frames": len(s)}
        if check:
            t["checked_with"] = [verify(name, s, rate, tool) for tool in check]
    TRUTH.append(t)


def shared(x, full):
    """Files often hold the same sound, or the beginning of it: it is kept once."""
    entry = {"full": 1 if full is None else full, "channels": np.asarray(x).T.tolist()}
    for k, e in enumerate(SAMPLES):
        if e["full"] == entry["full"] and len(e["channels"]) == len(entry["channels"]) and \
           all(a[:len(b)] == b for a, b in zip(e["channels"], entry["channels"])):
            return k
    SAMPLES.append(entry)
    return len(SAMPLES) - 1


def verify(name, s, rate, tool):
    path = os.path.join(OUT, name)
    if tool == "scipy":
        import warnings
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            r, y = wavfile.read(path)
        y = y.reshape(len(y), -1)
        if y.dtype == np.uint8:
            y = (y.astype(float) - 128) / 128
        elif y.dtype.kind == "i":
            y = y.astype(float) / 2.0 ** (8 * y.dtype.itemsize - 1)
        y = y.astype(float)
        assert r == rate, (name, r)
    else:
        raw = subprocess.run(["sox", "-D", path, "-t", "raw", "-e", "signed", "-b", "32", "-"], capture_output=True, check=True).stdout
        y = np.frombuffer(raw, "<i4").astype(float).reshape(-1, s.shape[1]) / 2.0 ** 31
        s = np.minimum(s, (2.0 ** 31 - 1) / 2 ** 31)
    assert y.shape == s.shape, (name, tool, y.shape, s.shape)
    tolerance = 0 if tool == "scipy" else 1e-9
    assert np.all((np.abs(y - s) <= tolerance) | (np.isnan(y) & np.isnan(s))), (name, tool)
    return tool


def note(body):
    return chunk(b"LIST", b"INFOICMT" + struct.pack("<I", len(body)) + body + b"\0" * (len(body) % 2))


def integer_formats():
    for bits in (8, 16, 24, 32):
        n, full = bits // 8, 2.0 ** (bits - 1)
        for ch in (1, 2):
            x = ints(bits, channels=ch)
            d = pack(x, n, unsigned=bits == 8)
            put(f"pcm{bits}-{ch}ch.wav", riff(fmt(1, ch, 8000, bits), chunk(b"data", d)), f"{bits}-bit PCM, {ch} channels",
                x, full, bits=bits, check=("scipy", "sox"))
        x = ints(bits, channels=2)
        d = pack(x, n, unsigned=bits == 8)
        put(f"extensible{bits}.wav", riff(fmt(1, 2, 48000, bits, valid=bits), chunk(b"data", d)),
            f"{bits}-bit PCM by SubFormat", x, full, bits=bits, rate=48000, check=("scipy", "sox"))
        x = ints(bits, channels=2)
        d = pack(x, n, be=True, unsigned=bits == 8)
        put(f"rifx{bits}.wav", riff(fmt(1, 2, 44100, bits, be=True), chunk(b"data", d, be=True), cid=b"RIFX", be=True),
            f"{bits}-bit PCM, big-endian", x, full, container="rifx", bits=bits, rate=44100, check=("scipy", "sox"))
    for bits, n in ((12, 2), (20, 3), (24, 4), (20, 4), (18, 3), (10, 2)):
        x = ints(bits, channels=2)
        full = 2.0 ** (bits - 1)
        d = pack(x << 8 * n - bits, n)
        put(f"valid{bits}in{8*n}.wav", riff(fmt(1, 2, 48000, 8 * n, valid=bits), chunk(b"data", d)),
            f"{bits} valid bits at the top of {8*n}, by SubFormat", x, full, bits=bits, rate=48000, check=("scipy",))
        put(f"plain{bits}in{8*n}.wav", riff(fmt(1, 2, 48000, bits, align=2 * n), chunk(b"data", d)),
            f"{bits} bits at the top of {8*n}, plain header", x, full, bits=bits, rate=48000, check=("scipy",))
    x = ints(20, channels=1)
    put("rifx-valid20in32.wav", riff(fmt(1, 1, 48000, 20, align=4, be=True), chunk(b"data", pack(x << 12, 4, be=True), be=True), cid=b"RIFX", be=True),
        "20 bits at the top of 32, big-endian", x, 2.0 ** 19, container="rifx", bits=20, rate=48000)
    x = ints(5)
    put("plain5in8.wav", riff(fmt(1, 1, 8000, 5), chunk(b"data", pack(x << 3, 1, unsigned=True))), "5 bits at the top of 8, unsigned", x, 16, bits=5, check=("scipy",))
    x = ints(16, frames=12, channels=64)
    put("channels64.wav", riff(fmt(1, 64, 48000, 16, valid=16), chunk(b"data", pack(x, 2))), "64 channels", x, 32768, rate=48000, check=("scipy",))
    for rate in (1, 11025, 22050, 96000, 192000, 767999, 768000):
        x = ints(16, frames=8)
        put(f"rate{rate}.wav", riff(fmt(1, 1, rate, 16), chunk(b"data", pack(x, 2))), f"{rate} Hz", x, 32768, rate=rate, check=("scipy",))


def float_formats():
    for bits, kind in ((32, "f4"), (64, "f8")):
        x = rng.normal(0, 0.4, (40, 2)).astype(kind).astype(float)
        x[:3] = [[1, -1], [0, 1.5], [-2, 1e-30]]
        x = x.astype(kind).astype(float)
        d = x.astype("<" + kind).tobytes()
        fact = chunk(b"fact", struct.pack("<I", 40))
        put(f"float{bits}.wav", riff(fmt(3, 2, 48000, bits, extra=b"\0\0"), fact, chunk(b"data", d)), f"{bits}-bit float with values beyond 1",
            x, bits=bits, rate=48000, encoding="float", check=("scipy",))
        put(f"extensible-float{bits}.wav", riff(fmt(3, 2, 48000, bits, valid=bits), fact, chunk(b"data", d)), f"{bits}-bit float by SubFormat",
            x, bits=bits, rate=48000, encoding="float", check=("scipy",))
        put(f"rifx-float{bits}.wav", riff(fmt(3, 2, 48000, bits, be=True), chunk(b"data", x.astype(">" + kind).tobytes(), be=True), cid=b"RIFX", be=True),
            f"{bits}-bit float, big-endian", x, bits=bits, rate=48000, encoding="float", container="rifx", check=("scipy",))


def companded():
    """All 256 codes of G.711, decoded by sox."""
    codes = np.arange(256, dtype=np.uint8).tobytes()
    for name, tag, e in (("a-law", 6, "a-law"), ("mu-law", 7, "u-law")):
        raw = subprocess.run(["sox", "-D", "-t", "raw", "-r", "8000", "-c", "1", "-e", e, "-b", "8", "-", "-t", "raw", "-e", "signed", "-b", "16", "-"],
                             input=codes, capture_output=True, check=True).stdout
        x = np.frombuffer(raw, "<i2").astype(int).reshape(-1, 1)
        assert x.max() == (32256 if tag == 6 else 32124)
        put(f"{name}.wav", riff(fmt(tag, 1, 8000, 8, extra=b"\0\0"), chunk(b"fact", struct.pack("<I", 256)), chunk(b"data", codes)),
            f"every {name} code (G.711)", x, 32768, bits=8, encoding=name, check=("sox",))
        put(f"extensible-{name}.wav", riff(fmt(tag, 2, 8000, 8, valid=8), chunk(b"data", codes)), f"{name} by SubFormat, stereo",
            x.reshape(-1, 2), 32768, bits=8, encoding=name)
        put(f"{name}-16bits.wav", riff(fmt(tag, 1, 8000, 16, align=1, extra=b"\0\0"), chunk(b"data", codes)), f"{name} that says 16 bits",
            x, 32768, bits=8, encoding=name, codes=["header-repaired"])


def containers():
    x = ints(16, channels=2)
    d = pack(x, 2)
    f = fmt(1, 2, 8000, 16)
    data = chunk(b"data", d)

    def ok(name, b, about, codes=(), container="riff", check=()):
        put(name, b, about, x, 32768, container=container, codes=codes, check=check)

    def ds(data_size, riff_size=0, table=b""):
        return chunk(b"ds64", struct.pack("<QQQI", riff_size, data_size, len(x), len(table) // 12) + table)

    big = chunk(b"data", d, size=U32)
    whole = 12 + 36 + len(f) + 8 + len(d)
    for cid in (b"RF64", b"BW64"):
        ok(cid.decode().lower() + ".wav", riff(ds(len(d), whole - 8), f, big, cid=cid, size=U32), cid.decode() + " with ds64", container="rf64",
           check=())
    ok("rf64-data32.wav", riff(ds(len(d), whole - 8), f, data, cid=b"RF64", size=U32), "RF64 whose data chunk has its own size", container="rf64")
    ok("rf64-no-ds64.wav", riff(f, big, cid=b"RF64", size=U32), "RF64 without ds64", ["header-repaired"], "rf64")
    ok("rf64-ds64-zero.wav", riff(ds(0), f, big, cid=b"RF64", size=U32), "RF64 whose ds64 was never filled in", ["header-repaired"], "rf64")
    ok("rf64-ds64-lies.wav", riff(ds(1 << 40, 1 << 40), f, big, cid=b"RF64", size=U32), "RF64 whose ds64 promises 1 TiB", ["truncated"], "rf64")
    ok("rf64-table-bomb.wav", riff(chunk(b"ds64", struct.pack("<QQQI", whole - 8, len(d), len(x), U32)), f, big, cid=b"RF64", size=U32),
       "RF64 whose ds64 table claims 4 G entries", container="rf64")
    ok("rf64-junk-table.wav", riff(ds(len(d), whole, struct.pack("<4sQ", b"JUNK", 6)), f, b"JUNK" + struct.pack("<I", U32) + b"abcdef", big, cid=b"RF64", size=U32),
       "RF64 with a chunk sized by the ds64 table", container="rf64")
    ok("junk-first.wav", riff(chunk(b"JUNK", b"\0" * 28), chunk(b"bext", b"x" * 602), f, data), "JUNK and bext before fmt", check=("scipy", "sox"))
    ok("list-between.wav", riff(f, note(b"invented comment"), data), "LIST between fmt and data", check=("scipy", "sox"))
    ok("list-after.wav", riff(f, data, note(b"odd"), chunk(b"cue ", struct.pack("<I", 0))), "LIST and cue after data", check=("scipy", "sox"))
    ok("odd-padded.wav", riff(chunk(b"bext", b"x" * 603), f, chunk(b"LIST", b"INFO\1\2\3"), data), "odd chunks with pad", check=("scipy",))
    ok("odd-unpadded.wav", riff(chunk(b"bext", b"x" * 603, pad=False), f, chunk(b"LIST", b"INFO\1\2\3", pad=False), data), "odd chunks without pad")
    ok("fmt-after.wav", riff(data, f), "fmt after data")
    ok("fmt-long.wav", riff(fmt(1, 2, 8000, 16, extra=b"\0" * 50), data), "fmt chunk of 66 bytes", check=("sox",))
    ok("trailing-id3.wav", riff(f, data) + b"TAG" + b"\0" * 125, "an ID3v1 tag behind the file")
    ok("trailing-zeros.wav", riff(f, data) + b"\0" * 512, "filled up with zeros")
    ok("trailing-garbage.wav", riff(f, data) + b"\x93\x07" * 40, "garbage behind the file", ["header-repaired"])
    ok("two-data.wav", riff(f, data, chunk(b"data", b"\1\2\3\4")), "two data chunks", ["header-repaired"])
    ok("two-fmt.wav", riff(f, fmt(1, 1, 44100, 8), data), "two fmt chunks that differ", ["header-repaired"])
    y = ints(8, frames=41)
    d8 = pack(y, 1, unsigned=True)
    put("odd-data.wav", riff(fmt(1, 1, 8000, 8), chunk(b"data", d8), note(b"x")), "odd data with pad and LIST", y, 128, bits=8, check=("scipy", "sox"))
    put("odd-data-unpadded.wav", riff(fmt(1, 1, 8000, 8), chunk(b"data", d8, pad=False), note(b"x")), "odd data without pad, then LIST", y, 128, bits=8)
    put("odd-data-end.wav", riff(fmt(1, 1, 8000, 8), chunk(b"data", d8, pad=False)), "odd data without pad at the end", y, 128, bits=8)


def repairs():
    x = ints(16, channels=2)
    d = pack(x, 2)
    f = fmt(1, 2, 8000, 16)
    fix, cut = ["header-repaired"], ["truncated"]

    def ok(name, b, about, codes, y=None):
        put(name, b, about, x if y is None else y, 32768, codes=codes)

    ok("size-zero.wav", riff(f, chunk(b"data", d, size=0), size=0), "both sizes 0 (crash)", fix)
    ok("size-zero-data.wav", riff(f, chunk(b"data", d, size=0)), "data size 0", fix)
    ok("size-zero-riff.wav", riff(f, chunk(b"data", d), size=0), "RIFF size 0, data size right", fix)
    quiet = np.concatenate([np.zeros((20, 2), int), x])
    ok("size-zero-silence.wav", riff(f, chunk(b"data", pack(quiet, 2), size=0), size=0), "sizes 0, sound begins with silence", fix, quiet)
    for n in (U32, 0x7FFFFFFF, 0x7FFFFFFF + 44, 0x7FFFFFFF - 36, 0x80000000, U32 - 36, 0x7FFFF000):
        ok(f"size-{n:08x}.wav", riff(f, chunk(b"data", d, size=n), size=min(U32, n + 36)), f"data size 0x{n:08X} (a stream)", fix)
    ok("size-plus-header.wav", riff(f, chunk(b"data", d, size=len(d) + 44)), "header counted as sound", fix)
    ok("truncated.wav", riff(f, chunk(b"data", d + d, size=None))[:-len(d)], "second half missing", cut)
    ok("truncated-odd.wav", riff(f, chunk(b"data", d + d))[:-len(d) + 3], "cut within a frame", cut)
    ok("broken-frame.wav", riff(f, chunk(b"data", d + b"\1\2")), "last frame broken", cut)
    ok("broken-frame-riff0.wav", riff(f, chunk(b"data", d + b"\1\2\3", size=0, pad=False), size=0), "sizes 0, last frame broken", fix)
    ok("align-zero.wav", riff(fmt(1, 2, 8000, 16, align=0, byterate=32000), chunk(b"data", d)), "block align 0", fix)
    ok("align-wrong.wav", riff(fmt(1, 2, 8000, 16, align=2, byterate=32000), chunk(b"data", d)), "block align 2, byte rate right", fix)
    ok("byterate-zero.wav", riff(fmt(1, 2, 8000, 16, byterate=0), chunk(b"data", d)), "byte rate 0", fix)
    ok("byterate-wrong.wav", riff(fmt(1, 2, 8000, 16, byterate=48000), chunk(b"data", d)), "byte rate for another sample rate", fix)
    ok("valid-too-many.wav", riff(fmt(1, 2, 8000, 16, valid=24), chunk(b"data", d)), "24 valid bits in 16", fix)


def hopeless():
    x = ints(16, channels=2)
    d = chunk(b"data", pack(x, 2))
    f = fmt(1, 2, 8000, 16)

    def no(name, b, about, words):
        put(name, b, about, refused=words)

    no("channels-zero.wav", riff(fmt(1, 0, 8000, 16, align=4), d), "0 channels", "0 channels")
    no("channels-65.wav", riff(fmt(1, 65, 8000, 16), d), "65 channels", "65 channels")
    no("channels-65535.wav", riff(fmt(1, 65535, 8000, 16, align=0), d), "65535 channels", "65535 channels")
    no("rate-zero.wav", riff(fmt(1, 2, 0, 16), d), "rate 0", "sample rate 0")
    no("rate-high.wav", riff(fmt(1, 2, 768001, 16), d), "rate 768001", "sample rate 768001")
    no("rate-max.wav", riff(fmt(1, 2, U32, 16), d), "rate 4294967295", "sample rate 4294967295")
    for bits in (0, 33, 64, 65535):
        no(f"bits-{bits}.wav", riff(fmt(1, 2, 8000, bits, align=4), d), f"{bits}-bit PCM", f"{bits}-bit integer")
    for bits in (0, 16, 24, 80):
        no(f"float-{bits}.wav", riff(fmt(3, 2, 8000, bits, align=4), d), f"{bits}-bit float", f"{bits}-bit float")
    no("contradiction-mono.wav", riff(fmt(1, 2, 8000, 16, align=2), d), "2 channels, but align and byte rate of 1", "contradicts itself")
    no("contradiction-wide.wav", riff(fmt(1, 1, 8000, 16, align=4), d), "16 bits in 4 bytes that are all used", "contradicts itself")
    no("contradiction-float.wav", riff(fmt(3, 1, 8000, 32, align=8), d), "32-bit float in 8 bytes", "contradicts itself")
    no("fmt-short.wav", riff(chunk(b"fmt ", b"\1\0\2\0\x40\x1f\0\0"), d), "fmt of 8 bytes", "fmt chunk")
    no("fmt-ext-short.wav", riff(chunk(b"fmt ", fmt(1, 2, 8000, 16, valid=16)[8:32]), d), "extensible fmt cut short", "encoding is unknown")
    no("guid-unknown.wav", riff(fmt(1, 2, 8000, 16, valid=16, tail=b"\x11" * 12), d), "SubFormat of nobody", "SubFormat")
    no("no-fmt.wav", riff(d), "no fmt", "no fmt chunk")
    no("no-data.wav", riff(f), "no data", "no data chunk")
    no("no-chunks.wav", riff(), "no chunks", "without a fmt and a data chunk")
    no("data-empty.wav", riff(f, chunk(b"data", b"")), "empty data", "no samples")
    no("data-empty-list.wav", riff(f, chunk(b"data", b""), note(b"nothing")), "empty data, then LIST", "no samples")
    no("data-short.wav", riff(f, chunk(b"data", b"\1\2")), "half a frame", "no samples")
    no("header-cut.wav", riff(f, d)[:9], "9 bytes of header", "too short")
    no("avi.wav", b"RIFF" + struct.pack("<I", 100) + b"AVI LIST" + b"\0" * 92, "a film", "AVI")
    no("chunk-swarm.wav", riff(chunk(b"JUNK", b"") * 3000), "3000 empty chunks", "without a fmt")
    no("fmt-huge.wav", b"RIFF" + struct.pack("<I", U32) + b"WAVEfmt " + struct.pack("<I", 0xFFFFFFF0) + b"\1\0", "fmt of 4 GiB", "no data chunk")
    for tag, name, words in ((2, "adpcm-a", "ADPCM"), (17, "adpcm-b", "ADPCM"), (0x31, "gsm", "GSM"), (0x55, "mp3", "MP3"), (0x50, "mpeg", "MPEG"),
                             (0xFF, "aac", "AAC"), (0x45, "g726", "G.726"), (0x4321, "unknown", "unknown encoding (format 0x4321")):
        no(f"tag-{name}.wav", riff(fmt(tag, 2, 8000, 4, align=256, extra=b"\2\0\0\0"), d), name + " in WAVE", words)
    no("ext-mp3.wav", riff(fmt(0x55, 2, 8000, 16, valid=16), d), "MP3 by SubFormat", "MP3")


def strangers():
    def no(name, b, words):
        put(name, b, "not WAVE: " + words, refused=words)

    z = b"\0" * 60
    no("empty.wav", b"", "is empty")
    no("text.wav", "level 0,5 µV, SINAD 12 dB\n".encode() * 3, "text file")
    no("text-utf16.wav", "level 0,5".encode("utf-16"), "text file")
    no("one-byte.wav", b"\x93", "not a recording")
    no("noise.wav", rng.integers(0, 256, 300, dtype=np.uint8).tobytes().replace(b"\xff", b"\x01"), "not a recording")
    no("phone.m4a", struct.pack(">I", 28) + b"ftypM4A \0\0\0\0M4A mp42isom" + z, "M4A")
    no("voice.3gp", struct.pack(">I", 24) + b"ftyp3gp4\0\0\0\0isom3gp4" + z, "MPEG-4")
    no("song.mp3", b"\xff\xfb\x90\x64" + z, "MP3")
    no("tagged.mp3", b"ID3\3\0\0\0\0\x02\x01" + z * 9, "MP3")
    no("stream.aac", b"\xff\xf1\x50\x80\x02\x1f\xfc" + z, "AAC")
    no("voice.amr", b"#!AMR\n" + z, "AMR")
    no("page.ogg", b"OggS\0\2" + z, "Ogg")
    no("sound.aiff", b"FORM\0\0\0\x40AIFFCOMM" + z, "AIFF")
    no("sound.au", b".snd\0\0\0\x18" + z, "AU file")
    no("sound.caf", b"caff\0\1\0\0desc" + z, "CAF")
    no("sound.w64", bytes.fromhex("726966662E91CF11A5D628DB04C10000") + z, "Wave64")
    no("sound.wma", bytes.fromhex("3026B2758E66CF11A6D900AA0062CE6C") + z, "ASF")
    no("sound.webm", bytes.fromhex("1A45DFA3") + z, "WebM")
    no("sound.wv", b"wvpk" + z, "WavPack")
    no("all.zip", b"PK\3\4" + z, "ZIP")
    no("picture.png", b"\x89PNG\r\n\x1a\n" + z, "picture")


def flac_files():
    def encode(x, bits, rate, *args):
        src = os.path.join(OUT, "source.tmp")
        wide = {16: 2, 24: 3}[bits]
        with open(src, "wb") as f:
            f.write(riff(fmt(1, x.shape[1], rate, bits), chunk(b"data", pack(x, wide))))
        out = os.path.join(OUT, "out.tmp")
        subprocess.run(["sox", "-D", "-t", "wav", src, "-t", "flac", *args, out], check=True)
        data = bytearray(open(out, "rb").read())
        os.remove(src), os.remove(out)
        return strip(data)

    def strip(data):
        """Leaves only STREAMINFO, which makes the file the same everywhere."""
        at, n = 4, 0
        while True:
            last, n = data[at] & 0x80, int.from_bytes(data[at + 1:at + 4], "big")
            at += 4 + n
            if last:
                break
        head = bytearray(data[:42])
        head[4] |= 0x80
        return head + data[at:]

    def samples_field(data, n):
        data = bytearray(data)
        data[21] = data[21] & 0xF0 | n >> 32
        data[22:26] = struct.pack(">I", n & U32)
        return data

    for bits, ch, rate in ((16, 1, 48000), (16, 2, 44100), (24, 2, 96000)):
        x = ints(bits, channels=ch, frames=300)
        put(f"flac{bits}-{ch}ch.flac", encode(x, bits, rate), f"FLAC, {bits} bits, {ch} channels", x, 2.0 ** (bits - 1),
            container="flac", encoding="flac", bits=bits, rate=rate, check=("sox",))
    t = np.arange(4500)
    x = np.round(9000 * np.sin(2 * np.pi * t / 48)).astype(int).reshape(-1, 1)
    b = encode(x, 16, 48000)
    keep = lambda n: x[:n]
    more = dict(container="flac", encoding="flac", bits=16, rate=48000)
    put("flac-unknown-length.flac", samples_field(b, 0), "FLAC of unstated length", x, 32768, **more)
    put("flac-too-long.flac", samples_field(b, 9000), "FLAC that promises more", x, 32768, codes=["truncated"], **more)
    put("flac-too-short.flac", samples_field(b, 100), "FLAC that promises less", x, 32768, codes=["header-repaired"], **more)
    put("flac-cut.flac", b[:-40], "FLAC cut off in its second frame", keep(4096), 32768, codes=["truncated"], **more)
    put("flac-damaged.flac", b[:-60] + b"\x55" * 8 + b[-52:], "FLAC damaged in its second frame", keep(4096), 32768, codes=["truncated"], **more)
    put("flac-id3.flac", b"ID3\3\0\0\0\0\0\x0a" + b"\0" * 10 + b, "FLAC behind an ID3v2 tag", x, 32768, **more)
    put("flac-tag.flac", b + b"TAG" + b"\0" * 125, "FLAC with an ID3v1 tag behind it", x, 32768, **more)
    put("flac-header-only.flac", b[:42], "FLAC without a frame", refused="no samples")
    put("flac-header-cut.flac", b[:20], "FLAC header cut off", refused="FLAC header")


for make in (integer_formats, float_formats, companded, containers, repairs, hopeless, strangers, flac_files):
    make()
for name, rows in (("truth.json", TRUTH), ("samples.json", SAMPLES)):
    with open(os.path.join(OUT, name), "w") as f:
        f.write("[\n" + ",\n".join(json.dumps(t, separators=(",", ":")) for t in rows) + "\n]\n")
made = sorted(os.listdir(OUT))
if "--check" in sys.argv:
    here = sorted(n for n in os.listdir(HERE) if n != "make.py")
    assert here == made, set(here) ^ set(made)
    for n in made:
        same = open(os.path.join(HERE, n), "rb").read() == open(os.path.join(OUT, n), "rb").read()
        assert same, n + " differs from what make.py makes"
else:
    for n in made:
        with open(os.path.join(HERE, n), "wb") as f:
            f.write(open(os.path.join(OUT, n), "rb").read())
print(len(TRUTH), "files")
