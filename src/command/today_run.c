/* Playing the day: each item of the plan becomes a climb of the one conductor. A block has no
 * ladder: so many passes at its tempo, and nobody is asked how they went. A visit is a small ladder
 * over the passage as it is filed. Runs on the main thread. */
#include "command/today_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "command/after.h"

/* To be heard beside a horn; under the pulse its clicks stay well above it. */
#define DRONE_ALONE       0.35F
#define DRONE_UNDER_PULSE 0.15F
#define FREE_BEAT_MBPM    60000 /* a free block is counted in seconds, unheard */
#define FREE_BAR_MS       4000
#define FREE_LONG_MS      (2 * 3600000)
#define FREE_REST_MS      6000
#define VISIT_LEAST_MS    30000

/* --- a block --- */

static void block_rule(struct passo_setup *setup, uint16_t passes)
{
    const struct passo_rule *rule = &setup->rule;
    struct passo_rule block = passo_rule_default();
    block.climbs = PASSO_CLIMBS_BLOCK;
    block.target_mbpm = rule->target_mbpm;
    block.start_mbpm = rule->target_mbpm;
    block.stop_passes = passes;
    block.stop_ms = 0;
    block.rest_permille = rule->rest_permille;
    block.rest_fixed_ms = rule->rest_fixed_ms;
    block.rest_least_ms = rule->rest_least_ms;
    block.rest_most_ms = rule->rest_most_ms;
    setup->rule = block;
    passo_course_single(&setup->course, &setup->passage, rule);
}

/* Bars unheard, as many as the time has: of four seconds, or of forty where those were too many. */
static void free_setup(struct passo_setup *setup, const char *name, int64_t ms)
{
    *setup = (struct passo_setup){.rule = passo_rule_default()};
    struct passo_passage *passage = &setup->passage;
    const bool is_long = ms > FREE_LONG_MS;
    const int64_t bar_ms = is_long ? 10 * FREE_BAR_MS : FREE_BAR_MS;
    const int64_t bars = (ms - FREE_REST_MS - bar_ms) / bar_ms; /* the count-in is one, unheard */
    snprintf(passage->title, sizeof passage->title, "%s", name);
    PASSO_BUG_ON(passo_meter_init(&passage->meter, 4, 4));
    passage->beat = (struct passo_ratio){1, 4};
    passage->first_bar = 1;
    passage->bars = bars < 1 ? 1 : bars > PASSO_BARS_MAX ? PASSO_BARS_MAX : (int32_t)bars;
    passage->pickup = (struct passo_ratio){0, 1};
    passage->loops = 1;
    passage->variants = 1;
    PASSO_BUG_ON(passo_passage_complete(passage) != PASSO_OK);
    setup->pulse.silent = (1u << PASSO_CLICK_COUNT_OF) - 1;
    setup->volume_permille = 500;
    setup->rule.target_mbpm = is_long ? FREE_BEAT_MBPM / 10 : FREE_BEAT_MBPM;
    setup->rule.rest_permille = 0;
    setup->rule.rest_fixed_ms = FREE_REST_MS;
}

static bool ready_block(struct today *today, const struct passo_today_item *item,
                        struct passo_climb_setup *run, char *out_why, size_t bytes)
{
    const struct passo_routine_block *block = &today->file.block[item->block];
    const char *name = today->file.routine.block[item->block].name;
    if (block->setup)
        *today->setup = *block->setup;
    else
        free_setup(today->setup, name, item->ms);
    struct passo_passage *passage = &today->setup->passage;
    snprintf(passage->title, sizeof passage->title, "%s", name);
    if (item->keyed) {
        passo_key_write(item->key, passage->title, sizeof passage->title);
        snprintf(passage->piece, sizeof passage->piece, "%s", name);
    }
    block_rule(today->setup, block->setup ? item->passes : 1);
    if (passo_course_check(&today->setup->course, out_why, bytes) != PASSO_OK)
        return false;
    run->setup = today->setup;
    run->unrecorded = true;
    run->free = block->setup == NULL;
    run->marker = NULL;
    run->no_clicks = block->sound == PASSO_SOUND_DRONE;
    today->setup->intonation.keyed = item->keyed;
    today->setup->intonation.key = item->key;
    run->drone_level = run->no_clicks ? DRONE_ALONE : DRONE_UNDER_PULSE;
    return true;
}

/* --- a visit --- */

static bool of_loop(const struct passo_line *line)
{
    return strcmp(line->section, "loops") == 0;
}

/* Where lengths are climbed the loops are the rungs. */
static bool climbs_length(const struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++)
        if (!strcmp(lines->line[i].key, "climbs") && !strcmp(lines->line[i].value, "length"))
            return true;
    return false;
}

/* How long things take at a middling tempo, with rests as long as the playing. */
static int64_t slower(int64_t ms)
{
    return ms * 5 / 4;
}

/* Whether there is time for a few passes and the run in context. */
static bool has_context(const struct spot *spot, int64_t visit_ms)
{
    const int64_t pass_ms = slower(spot->count_in_ms + 2 * spot->played_ms);
    return spot->context &&
           visit_ms - TODAY_PREPARE_MS >= 2 * pass_ms + slower(2 * spot->context_ms);
}

/* When the climbing of a visit is to end, so that on the whole its minutes are kept: the pass that
 * sounds then is finished, and the run in context comes behind it. */
static int64_t climbing_ms(const struct spot *spot, int64_t visit_ms)
{
    int64_t ms = visit_ms - TODAY_PREPARE_MS - slower(spot->count_in_ms + 2 * spot->played_ms) / 2;
    if (has_context(spot, visit_ms))
        ms -= slower(2 * spot->context_ms);
    return ms > VISIT_LEAST_MS ? ms : VISIT_LEAST_MS;
}

/* How many passes of the climbing a visit has room for, one at least. */
static int room_for(const struct spot *spot, int64_t visit_ms)
{
    const int64_t pass_ms = slower(spot->count_in_ms + 2 * spot->played_ms);
    return (int)(climbing_ms(spot, visit_ms) / pass_ms) + 1;
}

/* Low in stakes: it opens at the best clean tempo of the last one, that is a rung under where that
 * one ended; one clean pass raises, two misses drop, no perfection is asked. The passage's own
 * steps and variants hold, but it is played as a whole: a visit is too short for stages and parts.
 */
void today_visit_lines(void *user, struct passo_lines *lines, struct passo_faults *faults)
{
    const struct today_visit *visit = user;
    const struct spot *spot = visit->spot;
    char stop[64];
    static const char *const usual[][2] = {{"raise", "1 clean"}, {"drop", "1 rung after 2 misses"},
                                           {"plateau", "none"},  {"tired", "none"},
                                           {"over", "none"},     {"close", "none"},
                                           {"anchor", "none"},   {"cold", "no"},
                                           {"resume", "100 %"}};
    int length =
        snprintf(stop, sizeof stop, "%lld s", (long long)(climbing_ms(spot, visit->ms) / 1000));
    if (visit->passes)
        snprintf(stop + length, sizeof stop - (size_t)length, ", %u passes", visit->passes);
    passo_lines_drop(lines, passo_line_of_stage);
    if (!climbs_length(lines))
        passo_lines_drop(lines, of_loop);
    for (size_t i = 0; i < sizeof usual / sizeof usual[0]; i++)
        passo_lines_add_option(lines, usual[i][0], usual[i][1], faults);
    passo_lines_add_option(lines, "stop", stop, faults);
    passo_lines_add_option(lines, "finish", has_context(spot, visit->ms) ? "1 in context" : "none",
                           faults);
    if (visit->reference && !spot_says(lines, "pitch", "reference"))
        passo_lines_add_option(lines, "reference", visit->reference, faults);
    if (spot_says(lines, "ladder", "rest"))
        return;
    if (visit->rest[0])
        passo_lines_add_option(lines, "rest", visit->rest, faults);
    else if (passo_balance_strain(spot->tags) > PASSO_STRAIN_USUAL)
        passo_lines_add_option(lines, "rest", "1.5 x played, at least 6 s, at most 90 s", faults);
}

/* Where the climb opens, or goes on after a break. */
static void open_visit(struct today *today, const struct passo_today_item *item,
                       struct passo_faults *faults)
{
    const struct spot *spot = &today->spots.at[item->passage];
    struct passo_keeping *keeping = &today->staging.keeping;
    today->opening_words[0] = '\0';
    passo_keeping_renew(keeping);
    passo_staging_seed(today->setup, today->options);
    if (!keeping->log ||
        !passo_keeping_look_back(keeping, today->options, &today->lines, today->staging.player,
                                 today->setup, today->opening_words, sizeof today->opening_words) ||
        keeping->goes_on)
        return;
    const struct passo_after after = {.record = keeping->log,
                                      .player = today->staging.player,
                                      .today = today->day,
                                      .visit_passes = room_for(spot, item->ms)};
    passo_after_read(&after, today->setup, today->opening_words, sizeof today->opening_words, NULL,
                     faults);
}

static bool ready_visit(struct today *today, const struct passo_today_item *item,
                        struct passo_climb_setup *run, char *out_why, size_t bytes)
{
    struct passo_faults faults = {0};
    const struct spot *spot = &today->spots.at[item->passage];
    struct today_visit visit = {
        .spot = spot,
        .ms = item->ms,
        .passes = today->file.visit_passes,
        .reference = today->file.reference_value[0] ? today->file.reference_value : NULL,
        .rest = today->file.rest_said ? today->file.rest_value : ""};
    if (!spot_load(spot, today->day, &today->lines, today_visit_lines, &visit, today->setup,
                   out_why, bytes))
        return false;
    open_visit(today, item, &faults);
    const bool good = faults.faults == 0;
    if (!good)
        snprintf(out_why, bytes, "%s", faults.fault[0]);
    passo_faults_deinit(&faults);
    run->setup = today->setup;
    run->extra = PASSO_EXTRA_VISIT;
    run->csv = today->staging.run.csv;
    run->opening_words = today->opening_words;
    if (good)
        passo_keeping_ready(&today->staging.keeping, &today->lines, run);
    if (today->model)
        today->staging.marker.model = today->model[item->passage];
    return good;
}

bool today_ready(void *user, size_t at, struct passo_climb_setup *run, char *out_why, size_t bytes)
{
    struct today *today = user;
    const struct passo_today_item *item = &today->plan.item[at];
    if (item->kind == PASSO_ITEM_VISIT)
        return ready_visit(today, item, run, out_why, bytes);
    return ready_block(today, item, run, out_why, bytes);
}

/* --- the record --- */

static void write_deed(struct today *today, const char *item, enum passo_log_deed deed,
                       const struct passo_climb_result *result, int64_t wall_ns)
{
    struct passo_log *log = today->staging.keeping.log;
    struct passo_row when = passo_row_empty();
    if (!log)
        return;
    passo_row_time_here(&when, wall_ns);
    const struct passo_log_day_row row = {.player = today->staging.player,
                                          .routine = today->file.name,
                                          .item = item,
                                          .deed = deed,
                                          .time_ns = wall_ns,
                                          .offset_s = when.offset_s,
                                          .day = today->day,
                                          .played_ns = result ? result->played_ns : 0,
                                          .rested_ns = result ? result->rested_ns : 0};
    passo_log_today(log, &row);
    /* What the log does not take now waits, and the next commit tries again. */
    if (passo_log_commit(log) != PASSO_OK)
        return;
}

/* The plan, and those whose turn was another's, go into the log when the first item begins. */
static void write_plan(struct today *today, int64_t wall_ns)
{
    char item[PASSO_NAME_MAX + 128];
    char *note = today_note_write(today);
    write_deed(today, note, PASSO_LOG_DAY_BEGAN, NULL, wall_ns);
    free(note);
    for (size_t i = 0; i < today->spots.count; i++) {
        if (today->plan.part[i].why != PASSO_GETS_TURN)
            continue;
        snprintf(item, sizeof item, "visit/0/%s", today->spots.at[i].name);
        write_deed(today, item, PASSO_LOG_ITEM_OWED, NULL, wall_ns);
    }
    today->past.goes_on = true;
}

static void over(void *user, size_t at, enum passo_day_doing doing,
                 const struct passo_climb_result *result, int64_t wall_ns)
{
    static const enum passo_log_deed deeds[PASSO_DOING_COUNT] = {
        [PASSO_DOING_BEGAN] = PASSO_LOG_ITEM_BEGAN,
        [PASSO_DOING_DONE] = PASSO_LOG_ITEM_DONE,
        [PASSO_DOING_SKIPPED] = PASSO_LOG_ITEM_SKIPPED,
        [PASSO_DOING_PUT_OFF] = PASSO_LOG_ITEM_PUT_OFF,
        [PASSO_DOING_STOPPED] = PASSO_LOG_ITEM_STOPPED};
    struct today *today = user;
    const struct passo_today_item *item = &today->plan.item[at];
    const bool played = today->shown[at].strain_permille > 0;
    if (!today->past.goes_on)
        write_plan(today, wall_ns);
    write_deed(today, today->item[at].id, deeds[doing], played ? result : NULL, wall_ns);
    if (!result)
        return;
    if (today->model && item->kind == PASSO_ITEM_VISIT)
        today->model[item->passage] = today->staging.marker.model;
    if (result->log_failed && today->fails < PASSO_RESCUES_MAX)
        today->log_failed[today->fails++] = *result;
}

static void simulate(struct today *today)
{
    if (!today->options->simulate)
        return;
    today->model = passo_xcalloc(today->spots.count + 1, sizeof *today->model);
    for (size_t i = 0; i < today->spots.count; i++)
        today->model[i] = passo_staging_player(today->spots.at[i].target_mbpm, 0);
}

static int64_t wall_ns(const struct today *today)
{
    struct timespec now;
    if (today->options->wall_ns)
        return today->options->wall_ns;
    clock_gettime(CLOCK_REALTIME, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

const char *today_sounds(const struct today *today)
{
    for (size_t i = 0; i < today->file.routine.blocks; i++) {
        const struct passo_setup *setup = today->file.block[i].setup;
        if (setup && setup->sounds[0])
            return setup->sounds;
    }
    return "";
}

/* What the log did not take is told for each item, which has a rescue file of its own; and that
 * deeds are not in it. */
static bool told(struct today *today, const struct passo_day_result *result)
{
    struct passo_log *log = today->staging.keeping.log;
    char words[256];
    const bool kept = !log || passo_log_commit(log) == PASSO_OK;
    snprintf(words, sizeof words,
             "the log could not be written: %s; what was done of the day is not in it",
             log ? passo_log_why(log) : "");
    snprintf(today->log_failed[0].words, sizeof today->log_failed[0].words, "%s", result->words);
    const bool all =
        passo_staging_close(&today->staging, today->log_failed, today->fails ? today->fails : 1);
    if (!kept)
        passo_tell(words);
    return all && kept;
}

enum passo_exit today_run(struct today *today)
{
    char fault[512];
    struct passo_day_result result;
    struct passo_balance balance;
    enum passo_exit ended = passo_staging_raise(&today->staging, today->options);
    if (ended != PASSO_EXIT_DONE)
        return ended;
    simulate(today);
    today_balance(today, wall_ns(today), &balance);
    const struct passo_day_setup setup = {
        .base = today->staging.run,
        .sounds = today_sounds(today),
        .title = today->file.title,
        .item = today->shown,
        .items = today->plan.items,
        .asks = strcmp(today->staging.run.view->ops->name, "screen") == 0,
        .offers_rest = today->file.rests,
        .goes_on = today->staging.keeping.log != NULL,
        .balance = balance,
        .goodbye = "",
        .user = today,
        .ready = today_ready,
        .over = over};
    enum passo_error error = passo_day_run(&setup, &result, fault, sizeof fault);
    if (error != PASSO_OK) {
        passo_staging_close(&today->staging, NULL, 0);
        passo_tell(fault);
        return error == PASSO_ERR_DEVICE ? PASSO_EXIT_MACHINE : PASSO_EXIT_USAGE;
    }
    if (!told(today, &result))
        return PASSO_EXIT_MACHINE;
    return result.finished ? PASSO_EXIT_DONE : PASSO_EXIT_UNWON;
}
