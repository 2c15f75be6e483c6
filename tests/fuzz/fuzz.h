/* What the fuzz targets share: the bytes as a file that needs no disk. */
#ifndef PASSO_TESTS_FUZZ_H
#define PASSO_TESTS_FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes);

/* A file with these bytes; its path goes to out. Close the result. */
static inline int fuzz_file(const uint8_t *data, size_t bytes, char *out, size_t out_bytes)
{
    int fd = memfd_create("fuzz", 0);
    if (fd < 0 || write(fd, data, bytes) != (ssize_t)bytes || lseek(fd, 0, SEEK_SET) != 0)
        abort();
    snprintf(out, out_bytes, "/proc/self/fd/%d", fd);
    return fd;
}

#endif
