// Holds a file open as an editor or viewer does, until standard input ends.
#include <windows.h>
#include <stdio.h>

int main(int n, char **args) {
	HANDLE h = CreateFileA(args[n - 1], GENERIC_READ, FILE_SHARE_READ, NULL, OPEN_EXISTING, 0, NULL);
	puts(h == INVALID_HANDLE_VALUE ? "no" : "held");
	fflush(stdout);
	getchar();
	return 0;
}
