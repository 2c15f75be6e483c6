/* The blocks of a routine, one after the other, as a day without visits and offered rests plays
 * them. Runs on the main thread. */
#include "command/render_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/today_parts.h"
#include "text/notation.h"

static bool find(struct today *today)
{
    char shown[128];
    const char *name = today->options->routine;
    if (strchr(name, '/'))
        snprintf(today->path, sizeof today->path, "%s", name);
    else if (!passo_find("routines", name, today->path)) {
        passo_fault(&today->options->faults,
                    "--routine %s: there is no routine of that name; passo list routines shows "
                    "them, and a path with a / names a file",
                    passo_text_clean(name, shown, sizeof shown));
        return false;
    }
    return true;
}

static bool read(struct today *today)
{
    struct passo_faults *faults = &today->options->faults;
    if (!find(today) || today_past_read(today, NULL) != PASSO_OK)
        return false;
    passo_routine_read(today->path, &today->file, faults);
    for (size_t i = 0; i < today->file.routine.blocks; i++)
        if (today->file.block[i].setup)
            passo_staging_sounds(today->file.block[i].setup, faults);
    return faults->faults == 0 && today_keys_read(today, NULL) == PASSO_OK;
}

bool render_routine_ready(struct render *render)
{
    struct today *today = passo_xcalloc(1, sizeof *today);
    render->today = today;
    today->options = render->options;
    today->day = render->options->lines.today_yyyymmdd;
    today->setup = passo_xcalloc(1, sizeof *today->setup);
    if (!read(today) || !today_plan_make(today))
        return false;
    if (today->plan.items == 0) {
        passo_fault(&render->options->faults, "%s has no blocks to play", today->file.title);
        return false;
    }
    today->shown[0].prepare_ms = 0; /* whoever starts the file is ready */
    return true;
}

void render_routine_free(struct render *render)
{
    struct today *today = render->today;
    if (!today)
        return;
    today_plan_free(today);
    spots_free(&today->spots);
    today_past_free(&today->past);
    passo_routine_deinit(&today->file);
    passo_lines_deinit(&today->lines);
    free(today->setup);
    free(today);
    render->today = NULL;
}

/* Nothing of it is kept. */
static void over(void *user, size_t at, enum passo_day_doing doing,
                 const struct passo_climb_result *result, int64_t wall_ns)
{
    (void)user;
    (void)at;
    (void)doing;
    (void)result;
    (void)wall_ns;
}

enum passo_error render_routine_play(struct render *render, const struct passo_climb_setup *base,
                                     char *out_fault, size_t fault_bytes)
{
    struct today *today = render->today;
    struct passo_day_result result;
    const struct passo_day_setup setup = {.base = *base,
                                          .sounds = today_sounds(today),
                                          .title = today->file.title,
                                          .item = today->shown,
                                          .items = today->plan.items,
                                          .goodbye = "",
                                          .user = today,
                                          .ready = today_ready,
                                          .over = over};
    return passo_day_run(&setup, &result, out_fault, fault_bytes);
}
