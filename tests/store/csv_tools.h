/* For the tests that read a session CSV: files of given bytes, and all rows and faults kept. */
#ifndef PASSO_TESTS_STORE_CSV_TOOLS_H
#define PASSO_TESTS_STORE_CSV_TOOLS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <cmocka.h>
#include "store/csv_read.h"

#define HEADER                                                                                     \
    "time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,"   \
    "marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s"

enum { ROWS_MAX = 4096, FAULTS_MAX = 128 };

/* Everything that was read; texts are copies. */
struct read_back {
    struct passo_row row[ROWS_MAX];
    size_t rows;
    char *fault[FAULTS_MAX];
    size_t faults;
    enum passo_error error;
    char why[5000];
};

static inline const char *keep_row(void *user, const struct passo_row *row)
{
    struct read_back *back = user;
    assert_true(back->rows < ROWS_MAX);
    struct passo_row *kept = &back->row[back->rows++];
    *kept = *row;
    const char **text[] = {&kept->player,  &kept->session,   &kept->passage,
                           &kept->piece,   &kept->loop,      &kept->bars,
                           &kept->variant, &kept->beat_unit, &kept->marked_by};
    for (size_t i = 0; i < sizeof text / sizeof text[0]; i++)
        *text[i] = strdup(*text[i]);
    return NULL;
}

static inline void keep_fault(void *user, const char *sentence)
{
    struct read_back *back = user;
    assert_true(back->faults < FAULTS_MAX);
    back->fault[back->faults++] = strdup(sentence);
}

static inline struct read_back *read_path(const char *path)
{
    struct read_back *back = calloc(1, sizeof *back);
    struct passo_csv_taker taker = {.user = back, .row = keep_row, .fault = keep_fault};
    back->error = passo_csv_read(path, &taker, back->why, sizeof back->why);
    return back;
}

static inline void free_back(struct read_back *back)
{
    for (size_t i = 0; i < back->rows; i++) {
        const struct passo_row *row = &back->row[i];
        const char *text[] = {row->player, row->session, row->passage,   row->piece,    row->loop,
                              row->bars,   row->variant, row->beat_unit, row->marked_by};
        for (size_t j = 0; j < sizeof text / sizeof text[0]; j++)
            free((void *)(uintptr_t)text[j]);
    }
    for (size_t i = 0; i < back->faults; i++)
        free(back->fault[i]);
    free(back);
}

/* A new file with these bytes; free and unlink the path. */
static inline char *write_file(const char *bytes, size_t length)
{
    char *path = strdup("/tmp/passo-read-XXXXXX");
    int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, bytes, length), (ssize_t)length);
    close(file);
    return path;
}

/* Reads bytes by way of a file. */
static inline struct read_back *read_bytes(const char *bytes, size_t length)
{
    char *path = write_file(bytes, length);
    struct read_back *back = read_path(path);
    unlink(path);
    free(path);
    return back;
}

static inline struct read_back *read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

#endif
