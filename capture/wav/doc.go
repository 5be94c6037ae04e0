// Package wav reads and writes WAVE files strictly and in a stream.
//
// # Reading
//
// Parse walks the chunks of RIFF, RIFX, RF64 and BW64 files. A size in a file
// is a claim: it is held against the file before anything is read by it, and
// never decides an allocation. Where header and file disagree, and what is
// right to the sample can be known, it is read and noted (HeaderRepaired,
// Truncated); where it cannot be known, the file is refused in one line.
//
//   - Sizes of 0 or 0xFFFFFFFF, or near 2^31 (a recorder that crashed, a
//     stream): everything to the end of the file is sound.
//   - Sizes that wrapped at 4 GiB: true modulo 2^32.
//   - A file that ends early, or with a broken frame: the whole frames of it.
//   - Block align or byte rate that contradict channels and bits: a slip if
//     one of them does, a refusal if both agree on something else.
//   - Bytes behind the stated end that are no chunk, tag or filling: not read.
//
// Reader.Blocks yields one channel in blocks of 16384 frames or 256 KiB, from
// pooled buffers, so that memory does not grow with length.
//
// # Samples
//
// Full scale is +-1. An integer sample is divided by 2^(bits-1) of its
// container; 8 bits and fewer are unsigned, so 128 is taken off first. Fewer
// valid bits than the container has sit at its top (WAVE_FORMAT_EXTENSIBLE),
// so 12 bits in 16 have the same full scale as 16. A-law and mu-law are
// decoded by ITU-T G.711 to 16 bits: their largest values are 32256/32768 and
// 32124/32768. Float samples are as stored, also beyond 1, NaN and infinite:
// whether they make sense is for analysis to say.
//
// # go-audio/wav
//
// github.com/go-audio/wav decodes 8, 24 and 32-bit little-endian integers. It
// gets each block as a small mono file with a canonical header, in memory, and
// so never meets a size or a chunk that was not made here. 16-bit samples,
// which nearly every recording has and for which the program's speed is
// measured, are decoded directly, as it would cost more than a quarter of the
// time that a measurement may take: 12.6 ns a sample, that is 60 ms for ten
// recordings of ten seconds at 48 kHz in each pass over them, against 4 ms. It
// is the check on that decoder in the tests. RIFX, float, A-law and mu-law it
// does not know.
//
// Ten seconds at 48 kHz, from opening the file to the last sample of one
// channel, in MB/s of the file (2 cores of a server, 2.4 GB/s being 0.4 ms):
//
//	               direct   go-audio/wav
//	16 bits mono     2400   160
//	16 bits stereo   2300   160
//	24 bits mono     1700   240 (in use)
//	32 bits mono     1500   350 (in use)
//	32-bit float     2400   (not right)
//
// # Writing
//
// Writer keeps the header true as it goes: sound first, then the sizes, after
// every 64 KiB and at least once a second of audio. A recording that is cut
// off is a good file of all but its last moment. It writes 16 bits at 350 MB/s.
package wav
