//go:build malgo

package soundcard

// #cgo LDFLAGS: -ldl
// #include <dlfcn.h>
//
// static void say_nothing(const char *file, int line, const char *function, int err, const char *fmt, ...) {}
//
// static void hush(void) {
// 	void *library = dlopen("libasound.so.2", RTLD_NOW);
// 	if (!library) return;
// 	void (*set)(void *) = (void (*)(void *))dlsym(library, "snd_lib_error_set_handler");
// 	if (set) set((void *)say_nothing);
// }
import "C"

// hushALSA keeps ALSA from writing to standard error, across a screen or beside the
// one line that says what is wrong.
func hushALSA() { C.hush() }
