/* What the machine plays before a count-in: the coming pass itself, where the setup asks for it,
 * and the starting note. In order, before the count-in: the hearing's end 3.5 s, the soft cue 3 s,
 * the starting note from 2 s to half a second. It all lies in the rest if the rest is long enough;
 * else the rest grows. Runs on the main thread. */
#include "climb_priv.h"

#include <stdlib.h>
#include "text/notation.h"
#include "session/words.h"

enum {
    HEARD_BEFORE_MS = 3500, /* the end of a hearing, before the count-in */
    START_BEFORE_MS = 2000  /* the beginning of the starting note */
};

void hearing_init(struct climb *climb)
{
    if (climb->setup->setup->notes.notes == 0)
        return;
    climb->varied = passo_xcalloc(1, sizeof *climb->varied);
    climb->joined = passo_xcalloc(1, sizeof *climb->joined);
    climb->strip = passo_xcalloc(PASSO_NOTES_MAX, sizeof *climb->strip);
}

void hearing_deinit(struct climb *climb)
{
    free(climb->varied);
    free(climb->joined);
    free(climb->strip);
    free(climb->hearing.beat);
    free(climb->hearing.note);
    free(climb->pass.note);
}

const struct passo_notes *hearing_notes(struct climb *climb, const struct passo_plan *plan)
{
    if (!climb->varied)
        return NULL;
    const struct passo_variant *variant = passo_plan_variant(climb->passage, plan);
    if (climb->varied_of != variant)
        passo_notes_vary(&climb->setup->setup->notes, climb->passage, variant, climb->varied);
    climb->varied_of = variant;
    const bool any =
        passo_notes_first(climb->varied, climb->passage, passo_plan_loop(climb->passage, plan));
    return any ? climb->varied : NULL;
}

struct passo_melody hearing_melody(const struct climb *climb, const struct passo_notes *notes)
{
    const struct passo_intonation *intonation = &climb->setup->setup->intonation;
    return (struct passo_melody){
        .notes = notes,
        .a4_hz = intonation->a4_hz,
        .semitones = (int16_t)(intonation->transposition + climb->setup->shift.semitones)};
}

/* The first at its tempo since the climb came to it, or there in this loop and variant. Passes that
 * do not count and those around the climbing are passed over. */
static bool is_new(const struct climb *climb, const struct passo_plan *plan)
{
    for (size_t i = climb->records; i-- > 0;) {
        const struct record *record = &climb->record[i];
        const struct passo_plan *played = &record->plan;
        if (record->mark == PASSO_MARK_VOID || played->part == PASSO_PART_ANCHOR ||
            played->part == PASSO_PART_CONTEXT)
            continue;
        if (played->mbpm != plan->mbpm)
            return true;
        if (passo_plan_loop(climb->passage, played) == passo_plan_loop(climb->passage, plan) &&
            passo_plan_variant(climb->passage, played) == passo_plan_variant(climb->passage, plan))
            return false;
    }
    return true;
}

/* An anchor is what was just played, only slower, and a run in context is the player's own. */
static bool is_due(struct climb *climb)
{
    const struct passo_plan *plan = &climb->plan;
    const bool of_its_own = plan->part == PASSO_PART_ANCHOR || plan->part == PASSO_PART_CONTEXT;
    if (plan->part == PASSO_PART_DONE || of_its_own || climb->setup->plays ||
        (climb->heard && rest_is_same(plan, &climb->hearing.plan)) || !hearing_notes(climb, plan))
        return false;
    switch (climb->setup->setup->intonation.hear) {
    case PASSO_HEAR_NEW_RUNG:
        return is_new(climb, plan);
    case PASSO_HEAR_EVERY_PASS:
        return true;
    case PASSO_HEAR_OFF:
    case PASSO_HEAR_COUNT:
        break;
    }
    return false;
}

static struct passo_instant length_of(const struct climb *climb,
                                      const struct passo_pass_shape *shape)
{
    const struct passo_pass_span span = passo_pass_span(shape);
    const struct passo_instant zero = {0, 0};
    const struct passo_tempo tempo = {shape->mbpm, climb->passage->beat};
    const struct passo_instant body =
        passo_tempo_advance(zero, span.count_in, tempo, climb->rate_hz);
    const struct passo_instant landing =
        passo_tempo_advance(body, span.body, tempo, climb->rate_hz);
    return passo_tempo_advance(landing, span.landing, tempo, climb->rate_hz);
}

bool hearing_starts(const struct climb *climb)
{
    return passo_intonation_starts(&climb->setup->setup->intonation,
                                   climb->varied && !climb->setup->plays);
}

bool hearing_fit(struct climb *climb, const struct passo_pass_shape *shape,
                 struct passo_instant *out_start)
{
    const bool hears = is_due(climb);
    struct passo_instant from = {passo_player_rendered(climb->sounding->player), 0};
    struct passo_instant before =
        passo_instant_from_ms(hears ? HEARD_BEFORE_MS : START_BEFORE_MS, climb->rate_hz);
    if (!hears && !hearing_starts(climb))
        return false;
    if (hears)
        before = passo_instant_add(before, length_of(climb, shape));
    if (passo_instant_cmp(from, climb->clear) < 0)
        from = climb->clear;
    const struct passo_instant least = passo_instant_add(from, before);
    if (passo_instant_cmp(climb->rest_until, least) < 0)
        climb->rest_until = least;
    *out_start = passo_instant_sub(climb->rest_until, before);
    return hears;
}

bool hearing_holds(struct climb *climb)
{
    const bool due = is_due(climb);
    return climb->hearing.handed ? due || climb->hearing.begun : !due;
}

bool hearing_waits(const struct climb *climb)
{
    return climb->hearing.handed && !climb->hearing.begun;
}

bool hearing_sounds(const struct climb *climb)
{
    return climb->hearing.handed && climb->hearing.begun &&
           climb->now < passo_instant_frame(climb->hearing.end);
}

bool hearing_covers(const struct climb *climb, int64_t from, int64_t until)
{
    const struct pass *hearing = &climb->hearing;
    const int64_t start = climb->rest_until.frame - climb_frames(climb, START_BEFORE_MS);
    if (!climb->pass.handed)
        return false;
    if (hearing_starts(climb) && until > start)
        return true;
    return hearing->handed && from < hearing->end.frame && until > hearing->start.frame;
}

bool hearing_is_block(const struct climb *climb)
{
    return climb->varied && climb_is_block(climb) &&
           (climb->setup->plays || climb->setup->setup->intonation.hear != PASSO_HEAR_OFF);
}

void hearing_begin(struct climb *climb, int64_t began)
{
    struct pass *hearing = &climb->hearing;
    char tempo[PASSO_NAME_MAX + 24];
    char block[PASSO_WORDS_BYTES] = "";
    char what[PASSO_WORDS_BYTES];
    const int64_t late = began - hearing->start.frame;
    if (late > 1)
        hand_shift(hearing, late);
    hearing->begun = true;
    /* In which key, where each is a climb of its own. */
    if (climb_is_block(climb) && climb->records == 0)
        block_what(climb, block, sizeof block);
    climb_say(climb, PASSO_SAY_PASS, "Listen: %s%s%s · %s. Then you play.", block,
              block[0] ? " · " : "",
              passo_words_what(climb->passage, &hearing->plan, what, sizeof what),
              passo_tempo_write(hearing->plan.mbpm, climb->passage->beat, tempo, sizeof tempo));
}
