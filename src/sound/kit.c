/* The kit: owns the samples of all sounds at one rate. The sounds themselves come from recipes.c.
 */
#include "sound/kit.h"

#include "sound/recipes.h"

#include <stdlib.h>
#include <string.h>

static const char *const timbre_names[PASSO_TIMBRE_COUNT] = {
    [PASSO_TIMBRE_RIM] = "rim",
    [PASSO_TIMBRE_WOOD] = "wood",
    [PASSO_TIMBRE_BELL] = "bell",
};

static const char *const click_names[PASSO_CLICK_COUNT_OF] = {
    [PASSO_CLICK_BAR] = "bar", [PASSO_CLICK_GROUP] = "group",         [PASSO_CLICK_BEAT] = "beat",
    [PASSO_CLICK_SUB] = "sub", [PASSO_CLICK_COUNT_BAR] = "count-bar", [PASSO_CLICK_COUNT] = "count",
};

static const char *const cue_names[PASSO_CUE_COUNT] = {
    [PASSO_CUE_TICK] = "tick",   [PASSO_CUE_RAISED] = "raised",   [PASSO_CUE_DROPPED] = "dropped",
    [PASSO_CUE_AGAIN] = "again", [PASSO_CUE_WON] = "won",         [PASSO_CUE_CONTEXT] = "context",
    [PASSO_CUE_TIME] = "time",   [PASSO_CUE_BREATHE] = "breathe",
};

const char *passo_timbre_name(enum passo_timbre timbre)
{
    PASSO_BUG_ON((unsigned)timbre >= PASSO_TIMBRE_COUNT);
    return timbre_names[timbre];
}

const char *passo_click_name(enum passo_click click)
{
    PASSO_BUG_ON((unsigned)click >= PASSO_CLICK_COUNT_OF);
    return click_names[click];
}

const char *passo_cue_name(enum passo_cue cue)
{
    PASSO_BUG_ON((unsigned)cue >= PASSO_CUE_COUNT);
    return cue_names[cue];
}

void passo_kit_init(struct passo_kit *kit, enum passo_timbre timbre, uint32_t rate_hz)
{
    PASSO_BUG_ON((unsigned)timbre >= PASSO_TIMBRE_COUNT || rate_hz == 0);
    memset(kit, 0, sizeof *kit);
    kit->rate_hz = rate_hz;
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++)
        passo_recipe_click(&kit->click[i], timbre, (enum passo_click)i, rate_hz);
    for (int i = 0; i < PASSO_CUE_COUNT; i++)
        passo_recipe_cue(&kit->cue[i], (enum passo_cue)i, rate_hz);
}

void passo_kit_deinit(struct passo_kit *kit)
{
    for (size_t i = 0; i < PASSO_CLICK_COUNT_OF; i++)
        free(kit->click[i].frame);
    for (size_t i = 0; i < PASSO_CUE_COUNT; i++)
        free(kit->cue[i].frame);
    memset(kit, 0, sizeof *kit);
}
