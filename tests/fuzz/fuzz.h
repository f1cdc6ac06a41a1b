#ifndef FUZZ_H
#define FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/* What libFuzzer calls with each input. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* A promise of the program that an input broke: libFuzzer keeps the input. */
#define PROMISE(kept)                                                                     \
    do {                                                                                  \
        if (!(kept)) {                                                                    \
            fprintf(stderr, "%s:%d: promise broken: %s\n", __FILE__, __LINE__, #kept);    \
            abort();                                                                      \
        }                                                                                 \
    } while (0)

/* An input as a file in memory: its path stays good until fuzz_file_close. */
struct fuzz_file {
    int descriptor;
    char path[64];
};
struct fuzz_file fuzz_file_open(const void *bytes, size_t size);
void fuzz_file_close(struct fuzz_file *file);

/* The bytes as a text of its own: NUL-terminated, so that reading past its end is seen. */
char *fuzz_text(const void *bytes, size_t size);

#endif
