/* The passages of a day or of a check, as they are filed, with what the log has of them. Thread:
 * the main thread. */
#ifndef PASSO_COMMAND_SPOTS_H
#define PASSO_COMMAND_SPOTS_H

#include <passo/key.h>
#include <passo/today.h>
#include "command/practice.h"
#include "text/setup.h"

struct spot {
    char *name; /* as it is filed, or the path that was given */
    char *path;
    char title[PASSO_TEXT_MAX]; /* the name of a passage that has none */
    char piece[PASSO_TEXT_MAX];
    char tags[PASSO_TEXT_MAX];
    char bars[64];
    struct passo_ratio beat;
    int32_t target_mbpm;
    struct passo_key key[PASSO_PASSAGE_KEYS_MAX];
    size_t keys;
    bool context;      /* its file names one: a visit ends in it */
    int64_t played_ms; /* one pass at the target */
    int64_t count_in_ms;
    int64_t context_ms; /* of its context, count-in and playing; 0: none */
    struct passo_practice practice;
};

/* Reads a spot's file afresh, as it is to be played: lines (of before are freed) and setup; change
 * adds to the lines what the day wants (NULL: nothing). False: out_why is a clause. */
bool spot_load(const struct spot *spot, int32_t today, struct passo_lines *lines,
               void (*change)(void *user, struct passo_lines *lines, struct passo_faults *faults),
               void *user, struct passo_setup *out_setup, char *out_why, size_t bytes);
/* Whether one of the lines says this. */
bool spot_says(const struct passo_lines *lines, const char *section, const char *key);

/* Zero-initialize. */
struct spots {
    struct spot *at;
    size_t count;
};

/* Reads passages by their names or paths, in that order; with no name all of the player's own. One
 * that cannot be played (a fault in the file, no target) is told on stderr and left out; a name
 * that leads nowhere or to such a file, or stands twice, is a fault. */
void spots_read(struct spots *spots, const char *const *name, size_t names, int32_t today,
                struct passo_faults *faults);
/* What the log has of them up to the day before today; log NULL: nothing. An error is told. */
enum passo_error spots_practice_read(struct spots *spots, struct passo_log *log, const char *player,
                                     int32_t today);
void spots_free(struct spots *spots);
/* A copy; free it. */
char *spots_copy(const char *text);

#endif
