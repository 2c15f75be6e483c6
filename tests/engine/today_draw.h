/* Drawn routines and passages for the property tests of the day's plan. */
#ifndef PASSO_TESTS_TODAY_DRAW_H
#define PASSO_TESTS_TODAY_DRAW_H

#include "engine/today_tools.h"

#define DRAW_PASSAGES_MAX 12

struct today_drawn {
    struct passo_routine routine;
    struct passo_today_passage passage[DRAW_PASSAGES_MAX];
    size_t passages;
    int64_t passages_ms;
};

static inline int64_t draw_between(struct passo_random *random, int64_t low, int64_t high)
{
    return low + (int64_t)passo_random_below(random, (uint32_t)(high - low + 1));
}

static inline struct passo_key draw_key(struct passo_random *random)
{
    return (struct passo_key){(int8_t)draw_between(random, -7, 7),
                              (uint8_t)passo_random_below(random, 2)};
}

static inline const char *draw_tags(struct passo_random *random)
{
    static const char *const tags[] = {"",
                                       "chromatic",
                                       "slur, low register",
                                       "double tongue",
                                       "high, slur",
                                       "low",
                                       "arpeggio",
                                       "whole tone, Slur",
                                       "trill",
                                       "",
                                       "",
                                       "third valve",
                                       ""};
    return tags[passo_random_below(random, sizeof tags / sizeof *tags)];
}

static inline void draw_block(struct passo_random *random, struct passo_routine *routine)
{
    static const char *const names[] = {"Long tones", "Flow study", "Chromatic", "Scales",
                                        "Tonguing",   "Free",       "Arpeggio"};
    struct passo_block *block =
        today_block(routine, names[passo_random_below(random, 7)], draw_tags(random),
                    passo_random_below(random, PASSO_CYCLE_COUNT),
                    draw_between(random, 60, 900) * 1000 + draw_between(random, 0, 999));
    block->cycle.mode = passo_random_below(random, 4) == 0;
    block->cycle.listed = (uint8_t)draw_between(random, 1, 7);
    for (size_t i = 0; i < block->cycle.listed; i++)
        block->cycle.list[i] = draw_key(random);
    if (passo_random_below(random, 3) == 0)
        block->keys_a_day = (uint8_t)draw_between(random, 1, 5);
    block->pass_ms = draw_between(random, 5, 60) * 1000;
    if (passo_random_below(random, 4) == 0) {
        block->ms = 0;
        block->passes = (uint16_t)draw_between(random, 1, 4);
    } else if (passo_random_below(random, 4) == 0) {
        block->pass_ms = 0;
    }
}

static inline void draw_passage(struct passo_random *random, size_t number,
                                struct passo_today_passage *out_passage)
{
    static const char *const names[DRAW_PASSAGES_MAX] = {
        "march, bars 5-8", "hymn, bar 12",      "overture, letter C",
        "polka: the run",  "slur in the trio",  "air, the turn",
        "cadenza",         "gallop, low bars",  "chorale, arpeggio",
        "finale",          "dance, bars 40-44", "study 3"};
    *out_passage = (struct passo_today_passage){
        .name = names[number],
        .tags = draw_tags(random),
        .keys = passo_random_below(random, 3),
        .level = -(double)passo_random_below(random, 600) / 1000,
        .rate = PASSO_RATE_LEAST + (double)passo_random_below(random, 190) / 10000,
        .due = passo_random_below(random, 6) > 0,
        .owed = passo_random_below(random, 8) == 0};
    for (size_t i = 0; i < out_passage->keys; i++)
        out_passage->key[i] = draw_key(random);
}

static inline void draw_today(struct passo_random *random, struct today_drawn *out_drawn)
{
    struct passo_routine *routine = &out_drawn->routine;
    memset(out_drawn, 0, sizeof *out_drawn);
    const size_t blocks = passo_random_below(random, 7);
    for (size_t i = 0; i < blocks; i++)
        draw_block(random, routine);
    routine->order = passo_random_below(random, 4) == 0;
    routine->relative = passo_random_below(random, 2);
    routine->visit_ms = draw_between(random, 30, 240) * 1000;
    routine->least_ms = draw_between(random, 0, 150) * 1000 + draw_between(random, 0, 999);
    routine->most_ms = routine->least_ms + draw_between(random, 2, 500) * 1000;
    if (routine->most_ms > routine->visit_ms * PASSO_VISITS_MAX)
        routine->visit_ms = routine->most_ms / PASSO_VISITS_MAX + 1000;
    out_drawn->passages = passo_random_below(random, DRAW_PASSAGES_MAX + 1);
    for (size_t i = 0; i < out_drawn->passages; i++)
        draw_passage(random, i, &out_drawn->passage[i]);
    out_drawn->passages_ms = draw_between(random, 0, 2400) * 1000 + draw_between(random, 0, 999);
}

static inline struct passo_today_ask draw_ask(const struct today_drawn *drawn, int64_t day)
{
    return (struct passo_today_ask){.routine = &drawn->routine,
                                    .passage = drawn->passage,
                                    .passages = drawn->passages,
                                    .passages_ms = drawn->passages_ms,
                                    .day = day};
}

#endif
