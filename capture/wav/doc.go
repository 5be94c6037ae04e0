// Package wav reads and writes WAVE files in a stream.
package wav
