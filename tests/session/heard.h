/* For the tests of what the machine plays: setups with notes, and a witness of all that is handed
 * over. Frames are of 48 kHz; at quarter = 60 a beat is 48000 of them. */
#ifndef PASSO_TESTS_SESSION_HEARD_H
#define PASSO_TESTS_SESSION_HEARD_H

#include "items.h"
#include <math.h>

enum { HEARD_HZ = 48000, HEARD_MOST = 64 };

enum {
    S = HEARD_HZ,
    LEAD = S * 30 / 1000,
    PASS = 9 * S,          /* at 60: 4 counted, 4 played, 1 of landing */
    FAST = 9 * S * 60 / 80 /* at 80 */
};

struct heard {
    enum passo_handed what;
    uint32_t pass;
    int32_t mbpm;
    int octave; /* of the plan's variant */
    struct passo_instant start, body, landing, end;
    size_t tones;
    struct passo_tone first; /* tone */
    float note_hz;           /* of the first note */
    int64_t on[16];          /* absolute frames of the notes' beginnings */
    int64_t off[16];         /* and ends, in the order of the events */
    size_t ons, offs;
    size_t clicks; /* heard */
    size_t silent;
};

static struct heard heard[HEARD_MOST];
static size_t heards;
static bool heard_own_starts; /* notes that only tell whose turn it is are taken too */

static void heard_take(void *user, enum passo_handed what, const struct passo_setup *setup,
                       const struct passo_plan *plan, uint32_t pass,
                       const struct passo_timeline *timeline)
{
    (void)user;
    if (what == PASSO_HANDED_START && !setup->intonation.starts && !heard_own_starts)
        return;
    assert_true(heards < HEARD_MOST);
    struct heard *to = &heard[heards++];
    *to = (struct heard){.what = what,
                         .pass = pass,
                         .mbpm = plan->mbpm,
                         .octave = passo_plan_variant(&setup->passage, plan)->octave,
                         .start = timeline->start,
                         .body = timeline->body,
                         .landing = timeline->landing,
                         .end = timeline->end,
                         .tones = timeline->tones};
    if (timeline->tones)
        to->first = timeline->tone[0];
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        const int64_t frame = timeline->start.frame + event->frame;
        const bool tone = event->kind == PASSO_EVENT_TONE_ON || event->kind == PASSO_EVENT_TONE_OFF;
        to->clicks += event->kind == PASSO_EVENT_CLICK;
        to->silent += event->kind == PASSO_EVENT_SILENT_CLICK;
        if (!tone || timeline->tone[event->bar].layer != PASSO_LAYER_NOTE)
            continue;
        if (!to->ons)
            to->note_hz = timeline->tone[event->bar].hz;
        if (event->kind == PASSO_EVENT_TONE_ON && to->ons < 16)
            to->on[to->ons++] = frame;
        else if (event->kind == PASSO_EVENT_TONE_OFF && to->offs < 16)
            to->off[to->offs++] = frame;
    }
}

static const struct passo_witness witness = {.handed = heard_take};

/* Four quarters from B-flat 3 up, and the half on which they land, of a B-flat part in C major. */
static inline void heard_notes(struct passo_setup *setup)
{
    static const struct passo_pitch scale[] = {{0, 4}, {2, 4}, {4, 4}, {-1, 4}, {1, 4}};
    setup->notes.notes = 5;
    for (int64_t i = 0; i < 5; i++)
        setup->notes.note[i] = (struct passo_note){
            .at = passo_ratio(i, 4), .length = passo_ratio(i < 4 ? 1 : 2, 4), .pitch = scale[i]};
    setup->intonation = (struct passo_intonation){.a4_hz = 440,
                                                  .transposition = -2,
                                                  .keyed = true,
                                                  .key = {0, PASSO_MODE_MAJOR},
                                                  .start = {0, 4}};
}

/* Bar 1 of two in 4/4 from 60: a pass is 4 s of count-in, 4 s of playing and 1 s of landing. More
 * options: key, value, ... NULL. */
static inline struct passo_setup *heard_setup(const char *const *more)
{
    const char *options[64] = {"title",   "Marrowby jig", "bars",   "1-2",    "loop",
                               "first=1", "start",        "60",     "target", "80",
                               "steps",   "20 bpm",       "finish", "none",   "stop",
                               "none",    "tired",        "none",   "volume", "40 %"};
    size_t at = 20;
    for (size_t i = 0; more[i]; i++)
        options[at++] = more[i];
    struct passo_setup *setup = stage_setup(options);
    heard_notes(setup);
    return setup;
}

/* A stage with the witness. */
static inline struct stage *heard_stage(void)
{
    struct stage *stage = stage_new();
    stage->run.in_day = true;
    stage->run.witness = &witness;
    heards = 0;
    return stage;
}

/* The next count-in comes at once. */
static inline void heard_no_rest(struct passo_setup *setup)
{
    setup->course.stage[0].rule.rest_permille = 0;
    setup->course.stage[0].rule.rest_fixed_ms = 0;
}

/* A climb with the marks of a script, in time that jumps. */
static inline void heard_play(struct band *band, struct passo_climb_setup *run,
                              const struct passo_setup *setup, const char *marks)
{
    char fault[256] = "";
    char script[64];
    snprintf(script, sizeof script, "%s", marks ? marks : "");
    struct passo_marker marker = {.script = script};
    heards = 0;
    band->view.ops = &band_ops;
    run->setup = setup;
    run->output = &passo_output_simulated;
    run->view = &band->view;
    run->marker = marks ? &marker : NULL;
    run->player = "";
    run->witness = &witness;
    assert_int_equal(passo_climb_run(run, &band->result, fault, sizeof fault), PASSO_OK);
}

#define HEARD_AT(i, thing, number, at)                                                             \
    do {                                                                                           \
        const struct heard *is_ = &heard[i];                                                       \
        const int64_t at_ = (at);                                                                  \
        if (is_->what != (thing) || is_->start.frame != at_)                                       \
            print_error("%d: %d at %lld, not %d at %lld\n", (int)(i), (int)is_->what,              \
                        (long long)is_->start.frame, (int)(thing), (long long)at_);                \
        assert_int_equal(is_->what, thing);                                                        \
        assert_int_equal(is_->pass, number);                                                       \
        assert_int_equal(is_->start.frame, at_);                                                   \
    } while (0)

#endif
