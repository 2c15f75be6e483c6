/* The pieces of `passo list`. Thread: the main thread. */
#ifndef PASSO_COMMAND_LIST_PARTS_H
#define PASSO_COMMAND_LIST_PARTS_H

#include "command/options.h"

enum { LIST_PAGE = 80, LIST_MARGIN = 2, LIST_GAP = 2 };

/* A filed passage. */
struct list_passage {
    char *name;
    bool own;
    char fault[PASSO_TEXT_MAX]; /* "" if the file can be read; else there is nothing below */
    char bars[PASSO_TEXT_MAX];
    char meter[PASSO_TEXT_MAX];
    char target[PASSO_TEXT_MAX];
    char title[PASSO_TEXT_MAX];
    char piece[PASSO_TEXT_MAX];
    struct passo_ratio beat;
    int32_t target_mbpm; /* 0: none is said */
};

/* What the log has of it, in its beat unit. */
struct list_practice {
    uint32_t passes; /* 0: never practised */
    int64_t play_ns;
    int32_t best_mbpm; /* the best rung won; 0: none */
    char secure[16];   /* "116", "124+", "<84", "-" */
    int32_t last_day;
    bool due;
};

/* Reads the practice of each passage that is the player's own. False: the log cannot be read, and
 * that is told. */
bool list_practice_read(const struct passo_options *options, const struct list_passage *passage,
                        size_t passages, struct list_practice *out_practice);
/* Prints the player's own passages; practice may be NULL: it is not known. */
void list_own_print(const struct list_passage *passage, const struct list_practice *practice,
                    size_t passages, int32_t today);

#endif
