/* Playing a check: each spot is one climb of the one conductor, of one pass, or two after a miss.
 * Runs on the main thread. */
#include "command/check_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/columns.h"
#include "text/notation.h"

static const char goodbye_missed[] = "That was the last look. What slipped went by once more, "
                                     "slowly: leave it at that, put the horn "
                                     "down and think of the first note.";
static const char goodbye[] =
    "That was the last look. You know them; put the horn down and think of "
    "the first note.";

/* The way to play it where it is to be quiet. */
static const struct passo_variant quiet[CHECK_QUIET_COUNT] = {
    [CHECK_OCTAVE_DOWN] = {.name = "octave down", .caption = "softly", .octave = -1},
    [CHECK_SOFT] = {.name = "softly", .caption = "softly"},
    [CHECK_FINGERS] = {.name = "breath and fingers", .caption = "breath and fingers, no tone"}};

/* When the first pass must be over so that one more would still leave the check under its minutes,
 * the others played once; 0 would be no limit. */
static int64_t again_until_ms(const struct check *check, size_t at)
{
    const struct spot *spot = &check->spots.at[check->item[at].spot];
    int64_t left_ms = CHECK_MOST_MS - (check->now_ns - check->began_ns) / 1000000;
    for (size_t i = at + 1; i < check->items; i++)
        left_ms -= check->item[i].ms;
    /* The rest of the first pass is part of what comes after it. */
    left_ms -= check_time_ms(spot, CHECK_AGAIN_PERMILLE);
    left_ms -=
        check->item[at].ms - (spot->count_in_ms + spot->played_ms) * 1000 / check->at_permille;
    return left_ms > 1 ? left_ms : 1;
}

/* One pass at the share that was asked for, after a miss one more, slower; never a third. */
static void set_rule(struct check *check, size_t at, struct passo_setup *setup)
{
    struct passo_rule rule = passo_rule_default();
    const int32_t full_mbpm = setup->rule.target_mbpm;
    rule.climbs = PASSO_CLIMBS_CHECK;
    rule.full_mbpm = full_mbpm;
    rule.target_mbpm = passo_tempo_share(full_mbpm, check->at_permille);
    rule.start_mbpm = passo_tempo_share(full_mbpm, CHECK_AGAIN_PERMILLE);
    rule.stop_ms = again_until_ms(check, at);
    rule.rest_permille = CHECK_REST_PERMILLE;
    rule.rest_least_ms = CHECK_REST_LEAST_MS;
    rule.rest_most_ms = 0;
    setup->rule = rule;
}

/* The whole passage, in one way: as written, or quietly. */
static void set_turn(struct check *check, struct passo_setup *setup)
{
    struct passo_passage *passage = &setup->passage;
    const bool aloud = check->quiet == CHECK_ALOUD;
    passage->loops = 1;
    passage->variants = aloud ? 1 : 2;
    passage->variant[0] = (struct passo_variant){.name = "as written"};
    passage->variant[1] = quiet[check->quiet];
    passo_course_single(&setup->course, passage, &setup->rule);
    setup->course.stage[0].turns = 1;
    setup->course.stage[0].turn[0] = (struct passo_turn){0, aloud ? 0 : 1};
}

static bool ready(void *user, size_t at, struct passo_climb_setup *run, char *out_why, size_t bytes)
{
    struct check *check = user;
    const struct spot *spot = &check->spots.at[check->item[at].spot];
    if (!spot_load(spot, check->today, &check->lines, NULL, NULL, check->setup, out_why, bytes))
        return false;
    set_rule(check, at, check->setup);
    set_turn(check, check->setup);
    if (passo_course_check(&check->setup->course, out_why, bytes) != PASSO_OK)
        return false;
    if (check->options->simulate)
        check->staging.marker.model = passo_staging_player(spot->target_mbpm, 0);
    run->setup = check->setup;
    run->extra = PASSO_EXTRA_CHECK;
    run->csv = check->staging.run.csv;
    passo_keeping_renew(&check->staging.keeping);
    passo_keeping_ready(&check->staging.keeping, NULL, run);
    return true;
}

static void over(void *user, size_t at, enum passo_day_doing doing,
                 const struct passo_climb_result *result, int64_t wall_ns)
{
    struct check *check = user;
    (void)at;
    if (doing == PASSO_DOING_BEGAN && check->began_ns == 0)
        check->began_ns = wall_ns;
    check->now_ns = wall_ns;
    if (result && result->log_failed && check->fails < PASSO_RESCUES_MAX)
        check->log_failed[check->fails++] = *result;
}

static void write_texts(const struct check *check, struct check_item *item)
{
    char tempo[PASSO_NAME_MAX + 24];
    const struct spot *spot = &check->spots.at[item->spot];
    snprintf(item->line, sizeof item->line, "%s, %s %s", spot->title,
             strchr(spot->bars, '-') ? "bars" : "bar", spot->bars);
    snprintf(item->why, sizeof item->why, "%s",
             passo_tempo_write(passo_tempo_share(spot->target_mbpm, check->at_permille), spot->beat,
                               tempo, sizeof tempo));
    const size_t used = strlen(item->why);
    if (item->moved)
        snprintf(item->why + used, sizeof item->why - used, ", moved to the end: the most secure");
    snprintf(item->prompt, sizeof item->prompt, "%s, %s, once%s%s.", item->line, tempo,
             check->quiet == CHECK_ALOUD ? "" : ", ",
             check->quiet == CHECK_ALOUD ? "" : quiet[check->quiet].name);
}

static void write_items(struct check *check, struct passo_day_item *out)
{
    for (size_t i = 0; i < check->items; i++) {
        struct check_item *item = &check->item[i];
        write_texts(check, item);
        out[i] = (struct passo_day_item){.line = item->line,
                                         .why = item->why,
                                         .prompt = item->prompt,
                                         .ms = item->ms,
                                         .strain_permille = PASSO_STRAIN_USUAL};
    }
}

static void tell_left_out(const struct check *check, FILE *to)
{
    for (size_t i = 0; i < check->spots.count; i++)
        if (check->left_out[i])
            fprintf(to, "%s is left out: a check stays under %d minutes.\n",
                    check->spots.at[i].title, CHECK_MOST_MS / 60000);
}

void check_list_print(const struct check *check)
{
    int64_t ms = 0;
    char time[32];
    for (size_t i = 0; i < check->items; i++) {
        struct check_item item = check->item[i];
        write_texts(check, &item);
        printf("  %2zu. ", i + 1);
        columns_print(item.line, 48, 50);
        printf("%s\n", item.why);
        ms += item.ms;
    }
    printf("\nOne pass each%s%s, with long rests; after a miss one more at %d %%, never a third.\n"
           "About %s.\n",
           check->quiet == CHECK_ALOUD ? "" : ", ",
           check->quiet == CHECK_ALOUD ? "" : quiet[check->quiet].name, CHECK_AGAIN_PERMILLE / 10,
           passo_span_write(ms, time, sizeof time));
    tell_left_out(check, stdout);
}

enum passo_exit check_run(struct check *check)
{
    char fault[512];
    struct passo_day_result result;
    struct passo_day_item *item = passo_xcalloc(check->items, sizeof *item);
    tell_left_out(check, stderr);
    enum passo_exit ended = passo_staging_raise(&check->staging, check->options);
    if (ended != PASSO_EXIT_DONE) {
        free(item);
        return ended;
    }
    write_items(check, item);
    const struct passo_day_setup setup = {
        .base = check->staging.run,
        .sounds = "",
        .title = "The last look",
        .item = item,
        .items = check->items,
        .asks = strcmp(check->staging.run.view->ops->name, "screen") == 0,
        .goodbye = goodbye,
        .goodbye_missed = goodbye_missed,
        .user = check,
        .ready = ready,
        .over = over};
    enum passo_error error = passo_day_run(&setup, &result, fault, sizeof fault);
    free(item);
    if (error != PASSO_OK) {
        passo_staging_close(&check->staging, NULL, 0);
        passo_tell(fault);
        return error == PASSO_ERR_DEVICE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
    }
    snprintf(check->log_failed[0].words, sizeof check->log_failed[0].words, "%s", result.words);
    if (!passo_staging_close(&check->staging, check->log_failed, check->fails ? check->fails : 1))
        return PASSO_EXIT_MACHINE;
    return result.finished ? PASSO_EXIT_DONE : PASSO_EXIT_UNWON;
}
