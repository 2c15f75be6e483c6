/* Routines and passages for the tests of the day's plan, and the plan in one line of text.
 *
 * A block's item is its key ("Db") or its name, a visit is the passage's name in brackets with the
 * first letter of why ("[P6 e]"). */
#ifndef PASSO_TESTS_TODAY_TOOLS_H
#define PASSO_TESTS_TODAY_TOOLS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <passo/random.h>
#include <passo/today.h>

#define MINUTE_MS 60000
#define MAJOR(place)                                                                               \
    (struct passo_key)                                                                             \
    {                                                                                              \
        (place), PASSO_MODE_MAJOR                                                                  \
    }
#define MINOR(place)                                                                               \
    (struct passo_key)                                                                             \
    {                                                                                              \
        (place), PASSO_MODE_MINOR                                                                  \
    }

/* Tonics from F-flat up by fifths to B-sharp, as the line of fifths goes. */
static inline const char *today_tonic(struct passo_key key)
{
    static const char *const names[] = {"Fb", "Cb", "Gb", "Db", "Ab", "Eb", "Bb",
                                        "F",  "C",  "G",  "D",  "A",  "E",  "B",
                                        "F#", "C#", "G#", "D#", "A#", "E#", "B#"};
    const int at = key.tonic + 8;
    return at >= 0 && at < (int)(sizeof names / sizeof *names) ? names[at] : "?";
}

static inline void today_write(const struct passo_today_ask *ask, const struct passo_today *today,
                               char *out, size_t bytes)
{
    static const char why[] = "kertsdf"; /* key, enharmonic, relative, tag, suits, (sprea)d, free */
    size_t used = 0;
    out[0] = 0;
    for (size_t i = 0; i < today->items; i++) {
        const struct passo_today_item *item = &today->item[i];
        const char *gap = i ? " " : "";
        int wrote;
        if (item->kind == PASSO_ITEM_VISIT)
            wrote = snprintf(out + used, bytes - used, "%s[%s %c]", gap,
                             ask->passage[item->passage].name, why[item->why]);
        else
            wrote = snprintf(out + used, bytes - used, "%s%s", gap,
                             item->keyed ? today_tonic(item->key)
                                         : ask->routine->block[item->block].name);
        assert_true(wrote > 0 && (size_t)wrote < bytes - used);
        used += (size_t)wrote;
    }
}

static inline struct passo_block *today_block(struct passo_routine *routine, const char *name,
                                              const char *tags, enum passo_cycle_kind kind,
                                              int64_t ms)
{
    struct passo_block *block = &routine->block[routine->blocks++];
    memset(block, 0, sizeof *block);
    snprintf(block->name, sizeof block->name, "%s", name);
    snprintf(block->tags, sizeof block->tags, "%s", tags);
    block->cycle.kind = kind;
    block->ms = ms;
    block->pass_ms = 20000;
    return block;
}

/* The names of the visits in order. Returns how many. */
static inline size_t today_order(const struct passo_today_ask *ask, const struct passo_today *today,
                                 const char **out_name, size_t most)
{
    size_t visits = 0;
    for (size_t i = 0; i < today->items; i++) {
        if (today->item[i].kind != PASSO_ITEM_VISIT)
            continue;
        assert_true(visits < most);
        out_name[visits++] = ask->passage[today->item[i].passage].name;
    }
    return visits;
}

static inline bool today_orders_equal(const char *const *a, size_t as, const char *const *b,
                                      size_t bs)
{
    for (size_t i = 0; as == bs && i < as; i++) {
        if (strcmp(a[i], b[i]) != 0)
            return false;
    }
    return as == bs;
}

/* The place of the first key of each block today. */
static inline void today_starts(const struct passo_today_ask *ask, const struct passo_today *today,
                                int32_t *out_start)
{
    for (size_t i = 0; i < ask->routine->blocks; i++)
        out_start[i] = -1;
    for (size_t i = 0; i < today->items; i++) {
        const struct passo_today_item *item = &today->item[i];
        if (item->kind == PASSO_ITEM_BLOCK && item->keyed && item->number == 1)
            out_start[item->block] = (int32_t)item->place;
    }
}

#endif
