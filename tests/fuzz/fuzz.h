/* What the fuzz targets share: the bytes as a file that needs no disk, an environment in which only
 * the shipped presets are found, a bound on memory, and checks of what was read. */
#ifndef PASSO_TESTS_FUZZ_H
#define PASSO_TESTS_FUZZ_H

#include <passo/random.h>
#include "text/setup.h"

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FUZZ_TODAY 20261201 /* a Tuesday */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes);
int LLVMFuzzerInitialize(int *argc, char ***argv);

/* Stops the run, and says what was not so. */
#define FUZZ_CHECK(condition)                                                                      \
    do {                                                                                           \
        if (!(condition))                                                                          \
            fuzz_fail(__FILE__, __LINE__, #condition);                                             \
    } while (0)
_Noreturn void fuzz_fail(const char *file, int line, const char *condition);

/* A file with these bytes; its path goes to out. Close the result. */
#define FUZZ_PATH_BYTES 64
int fuzz_file(const void *data, size_t bytes, char out[FUZZ_PATH_BYTES]);

/* From here until fuzz_memory_end() no more than 50 MiB may be held at once. */
void fuzz_memory_begin(void);
void fuzz_memory_end(void);

/* A stream of draws that is the input's own. */
void fuzz_seed(struct passo_random *out_random, const uint8_t *data, size_t bytes);
/* True once in so many. */
bool fuzz_one_in(struct passo_random *random, uint32_t count);

/* What a file or options gave. */
struct fuzz_trial {
    struct passo_lines lines;
    struct passo_faults faults;
    struct passo_setup setup;
};

void fuzz_trial_file(struct fuzz_trial *trial, const void *data, size_t bytes, bool need_target);
void fuzz_trial_end(struct fuzz_trial *trial);

/* A text that may be shown: no control characters, UTF-8. */
bool fuzz_is_clean(const char *text);
/* Each fault is one clear sentence, and they are not too many. */
void fuzz_check_faults(const struct passo_faults *faults);

/* Of a setup without a fault. Writing: both writers' files read back to the same setup. */
void fuzz_check_write(const struct fuzz_trial *trial);
/* The course: played with drawn marks and hands its states are valid, replaying gives the same,
 * passes can be timed, it can be forecast, and opened after any past. */
void fuzz_check_course(struct passo_setup *setup, struct passo_random *random);
/* The passes of these loops and tempi: the times agree and the timelines' events are in order. */
void fuzz_check_loops(const struct passo_setup *setup, int32_t slowest_mbpm, int32_t fastest_mbpm);
void fuzz_check_plan(const struct passo_setup *setup, const struct passo_plan *plan);

/* Any bytes as a session CSV for the log, which is in memory: taken in whole or not at all; taken
 * in again they add nothing; what is written of it and taken in elsewhere is written the same. */
void fuzz_check_import(const uint8_t *data, size_t bytes);

/* Drawn numbers, and some of these bytes, as rows of what was done of a routine. */
void fuzz_check_deeds(struct passo_random *random, const uint8_t *data, size_t bytes);

#endif
