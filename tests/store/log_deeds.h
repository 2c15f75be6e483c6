/* For the tests of the log: what was done of a day's routine, kept as copies and compared. */
#ifndef PASSO_TESTS_STORE_LOG_DEEDS_H
#define PASSO_TESTS_STORE_LOG_DEEDS_H

#include "store/log_tools.h"

struct deeds {
    struct passo_log_day_row *at;
    size_t count;
};

static inline void add_deed(void *user, const struct passo_log_day_row *row)
{
    struct deeds *deeds = user;
    deeds->at = realloc(deeds->at, (deeds->count + 1) * sizeof *deeds->at);
    struct passo_log_day_row *kept = &deeds->at[deeds->count++];
    *kept = *row;
    kept->player = strdup(row->player);
    kept->routine = strdup(row->routine);
    kept->item = strdup(row->item);
}

static inline void free_deeds(struct deeds *deeds)
{
    for (size_t i = 0; i < deeds->count; i++) {
        free((void *)(uintptr_t)deeds->at[i].player);
        free((void *)(uintptr_t)deeds->at[i].routine);
        free((void *)(uintptr_t)deeds->at[i].item);
    }
    free(deeds->at);
    *deeds = (struct deeds){0};
}

static inline struct deeds deeds_of(struct passo_log *log, const char *player, int32_t from_day,
                                    int32_t to_day)
{
    char fault[FAULT_BYTES];
    struct deeds deeds = {0};
    if (passo_log_today_rows(log, player, from_day, to_day, add_deed, &deeds, fault,
                             sizeof fault) != PASSO_OK)
        fail_msg("%s", fault);
    return deeds;
}

static inline bool same_deed(const struct passo_log_day_row *a, const struct passo_log_day_row *b)
{
    return !strcmp(a->player, b->player) && !strcmp(a->routine, b->routine) &&
           !strcmp(a->item, b->item) && a->deed == b->deed && a->time_ns == b->time_ns &&
           a->offset_s == b->offset_s && a->day == b->day && a->played_ns == b->played_ns &&
           a->rested_ns == b->rested_ns;
}

static inline void assert_same_deeds(const struct deeds *a, const struct deeds *b)
{
    assert_int_equal(a->count, b->count);
    for (size_t i = 0; i < a->count; i++) {
        if (!same_deed(&a->at[i], &b->at[i]))
            fail_msg("deed %zu differs: %s of %d and %s of %d", i, a->at[i].item, a->at[i].day,
                     b->at[i].item, b->at[i].day);
    }
}

#endif
