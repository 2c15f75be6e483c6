/* The passages that a day sets in or a check looks at. Runs on the main thread. */
#include "command/spots.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "command/options.h"
#include "command/staging.h"
#include "session/words.h"
#include "store/day.h"
#include "text/notation.h"
#include "text/routine.h"

char *spots_copy(const char *text)
{
    const size_t bytes = strlen(text) + 1;
    return memcpy(passo_xcalloc(bytes, 1), text, bytes);
}

/* One of the player's own that cannot be played is told and left out; one that was named is a
 * fault. */
static void tell_unplayable(const char *name, const struct passo_faults *its, bool named,
                            struct passo_faults *faults)
{
    char sentence[PASSO_PATH_BYTES + 128];
    if (its->faults)
        snprintf(sentence, sizeof sentence, "%s", its->fault[0]);
    else
        snprintf(sentence, sizeof sentence, "%s: it has no target tempo", name);
    if (named) {
        passo_fault(faults, "%s", sentence);
        return;
    }
    const size_t used = strlen(sentence);
    snprintf(sentence + used, sizeof sentence - used, "; it is left out");
    passo_tell(sentence);
}

/* A key that cannot be read is none: the passage then has no place of its own. */
static void read_keys(struct spot *spot, const char *text)
{
    char sentence[256];
    bool whole = true;
    if (!text[0])
        return;
    spot->keys = passo_keys_read(text, spot->key, PASSO_PASSAGE_KEYS_MAX, &whole);
    if (whole)
        return;
    snprintf(sentence, sizeof sentence,
             "%s: `key = %s` is no key that a cycle can meet; E-flat major, C-sharp minor would do",
             spot->name, text);
    passo_tell(sentence);
}

static void measure(struct spot *spot, const struct passo_setup *setup)
{
    struct passo_pass_shape shape = {.passage = &setup->passage,
                                     .loop = &setup->passage.loop[0],
                                     .pulse = &setup->pulse,
                                     .mbpm = spot->target_mbpm};
    struct passo_pass_times times = passo_pass_times(&shape);
    spot->played_ms = times.played_ns / 1000000;
    spot->count_in_ms = times.count_in_ns / 1000000;
    if (!spot->context)
        return;
    shape.loop = &setup->passage.context;
    times = passo_pass_times(&shape);
    spot->context_ms = (times.played_ns + times.count_in_ns) / 1000000;
}

static void fill(struct spot *spot, const struct passo_setup *setup)
{
    const struct passo_passage *from = &setup->passage;
    snprintf(spot->title, sizeof spot->title, "%s", from->title);
    snprintf(spot->piece, sizeof spot->piece, "%s", from->piece);
    snprintf(spot->tags, sizeof spot->tags, "%s", from->tags);
    passo_words_bars(from, &from->loop[0], spot->bars, sizeof spot->bars);
    spot->beat = from->beat;
    spot->target_mbpm = setup->rule.target_mbpm;
    read_keys(spot, from->key);
    measure(spot, setup);
}

bool spot_says(const struct passo_lines *lines, const char *section, const char *key)
{
    for (size_t i = 0; i < lines->lines; i++)
        if (!strcmp(lines->line[i].section, section) && !strcmp(lines->line[i].key, key))
            return true;
    return false;
}

bool spot_load(const struct spot *spot, int32_t today, struct passo_lines *lines,
               void (*change)(void *user, struct passo_lines *lines, struct passo_faults *faults),
               void *user, struct passo_setup *out_setup, char *out_why, size_t bytes)
{
    struct passo_faults faults = {0};
    passo_lines_deinit(lines);
    *lines = (struct passo_lines){.today_yyyymmdd = today};
    passo_lines_add_file(lines, spot->path, &faults);
    if (!faults.faults && change)
        change(user, lines, &faults);
    passo_setup_resolve(lines, true, out_setup, &faults);
    passo_staging_sounds(out_setup, &faults);
    passo_filed_title(out_setup, spot->name);
    const bool good = faults.faults == 0;
    if (!good)
        snprintf(out_why, bytes, "%s", faults.fault[0]);
    passo_faults_deinit(&faults);
    return good;
}

/* Reads the file into the next place, which stays free if it cannot be played. out_faults NULL: it
 * was not named. */
static void read_one(struct spots *spots, const char *name, const char *path, int32_t today,
                     struct passo_setup *setup, struct passo_faults *out_faults)
{
    struct passo_lines lines = {.today_yyyymmdd = today};
    struct passo_faults faults = {0};
    struct spot *spot = &spots->at[spots->count];
    *spot = (struct spot){.name = spots_copy(name), .path = spots_copy(path)};
    passo_lines_add_file(&lines, path, &faults);
    passo_setup_resolve(&lines, false, setup, &faults);
    passo_filed_title(setup, name);
    if (faults.faults == 0 && setup->rule.target_mbpm > 0) {
        spot->context = spot_says(&lines, "passage", "context");
        fill(spot, setup);
        spots->count++;
    } else {
        tell_unplayable(name, &faults, out_faults != NULL, out_faults);
        free(spot->name);
        free(spot->path);
    }
    passo_faults_deinit(&faults);
    passo_lines_deinit(&lines);
}

static void read_named(struct spots *spots, const char *name, int32_t today,
                       struct passo_setup *setup, struct passo_faults *faults)
{
    char path[PASSO_PATH_BYTES];
    char shown[128];
    if (strchr(name, '/') || access(name, F_OK) == 0)
        read_one(spots, name, name, today, setup, faults);
    else if (passo_find("passages", name, path))
        read_one(spots, name, path, today, setup, faults);
    else
        passo_fault(faults,
                    "%s: there is no such file here, and no passage is filed under that name",
                    passo_text_clean(name, shown, sizeof shown));
}

static bool is_named_twice(const char *const *name, size_t at, struct passo_faults *faults)
{
    char shown[128];
    for (size_t i = 0; i < at; i++) {
        if (strcmp(name[i], name[at]) != 0)
            continue;
        passo_fault(faults, "%s is named twice; once would do",
                    passo_text_clean(name[at], shown, sizeof shown));
        return true;
    }
    return false;
}

static void read_own(struct spots *spots, char *const *name, size_t names, int32_t today,
                     struct passo_setup *setup)
{
    char path[PASSO_PATH_BYTES];
    for (size_t i = 0; i < names; i++)
        if (passo_find("passages", name[i], path) && passo_find_is_own("passages", path))
            read_one(spots, name[i], path, today, setup, NULL);
}

void spots_read(struct spots *spots, const char *const *name, size_t names, int32_t today,
                struct passo_faults *faults)
{
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    char **filed = NULL;
    const size_t filings = names ? 0 : passo_find_all("passages", &filed);
    spots->at = passo_xcalloc(names + filings + 1, sizeof *spots->at);
    for (size_t i = 0; i < names; i++)
        if (!is_named_twice(name, i, faults))
            read_named(spots, name[i], today, setup, faults);
    read_own(spots, filed, filings, today, setup);
    for (size_t i = 0; i < filings; i++)
        free(filed[i]);
    free(filed);
    free(setup);
}

enum passo_error spots_practice_read(struct spots *spots, struct passo_log *log, const char *player,
                                     int32_t today)
{
    char fault[PASSO_PATH_BYTES + 256];
    struct passo_practice_ask *ask = passo_xcalloc(spots->count + 1, sizeof *ask);
    struct passo_practice *practice = passo_xcalloc(spots->count + 1, sizeof *practice);
    /* What is played today does not change today's plan. */
    const struct passo_practice_wish wish = {
        .player = player, .to_day = passo_day_of(passo_day_count(today) - 1), .today = today};
    for (size_t i = 0; i < spots->count; i++) {
        const struct spot *spot = &spots->at[i];
        ask[i] =
            (struct passo_practice_ask){spot->title, spot->piece, spot->beat, spot->target_mbpm};
    }
    enum passo_error error =
        passo_practice_read(log, &wish, ask, spots->count, practice, fault, sizeof fault);
    if (error != PASSO_OK)
        passo_tell(fault);
    for (size_t i = 0; i < spots->count; i++)
        spots->at[i].practice = practice[i];
    free(practice);
    free(ask);
    return error;
}

void spots_free(struct spots *spots)
{
    for (size_t i = 0; i < spots->count; i++) {
        free(spots->at[i].name);
        free(spots->at[i].path);
    }
    free(spots->at);
    *spots = (struct spots){0};
}
