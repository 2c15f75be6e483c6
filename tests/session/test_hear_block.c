/* A block that is heard, as it is shown: what counts as playing, and what its last rest shows of
 * the key that comes. Through the real conductor in simulated time. */
#include "heard.h"

/* Four quarters of notes at 60, twice with 2 s between: 9 s a pass, 5 of them notes. */
static struct passo_setup *block(void)
{
    struct passo_setup *setup = heard_setup((const char *[]){"target", "60", NULL});
    stage_once(setup, PASSO_CLIMBS_BLOCK, 1000);
    struct passo_rule *rule = &setup->course.stage[0].rule;
    rule->stop_passes = 2;
    rule->rest_permille = 0;
    rule->rest_fixed_ms = 2000;
    return setup;
}

static struct {
    bool plays;
    bool block;
    int64_t played_ms; /* the most */
    size_t last;       /* draws in the last rest */
    size_t other;      /* draws before */
    uint32_t serial;   /* of the strip, before */
    size_t notes;
    struct passo_pitch first[2]; /* of the strip: before, and in the last rest */
    struct passo_pitch end[2];
    char title[2][PASSO_TEXT_MAX];
    bool moved; /* the strip's serial, with it */
} shown;

static void look(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    const struct passo_strip *strip = &snapshot->strip;
    const bool last =
        snapshot->phase == PASSO_PHASE_REST && strncmp(snapshot->next, "Next: D-flat", 12) == 0;
    stage_draw(view, snapshot);
    shown.plays = snapshot->plays;
    shown.block = snapshot->block;
    if (snapshot->played_ms > shown.played_ms)
        shown.played_ms = snapshot->played_ms;
    if (snapshot->phase == PASSO_PHASE_OVER || strip->notes == 0)
        return;
    if (last)
        shown.last++;
    else
        shown.other++;
    assert_true(last || shown.last == 0);
    shown.moved = last && strip->serial != shown.serial;
    if (!last)
        shown.serial = strip->serial;
    shown.notes = strip->notes;
    shown.first[last] = strip->note[0].pitch;
    shown.end[last] = strip->note[strip->notes - 1].pitch;
    snprintf(shown.title[last], sizeof shown.title[0], "%s", snapshot->title);
}

static struct stage *begin(void)
{
    static struct passo_view_ops ops;
    struct stage *stage = heard_stage();
    ops = stage_view;
    ops.draw = look;
    stage->band.view.ops = &ops;
    memset(&shown, 0, sizeof shown);
    return stage;
}

static void who_listens_does_not_play(void **state)
{
    (void)state;
    struct passo_setup *setup = block();
    struct stage *stage = begin();
    stage->run.plays = true;
    stage_play(stage, setup);
    assert_true(shown.plays && shown.block);
    assert_int_equal(shown.played_ms, 0);
    assert_int_equal(stage->band.result.played_ns, 0);
    assert_int_equal(stage->band.result.passes, 2);
    stage_free(stage);
    /* In turns the player plays two passes of 5 s. */
    stage = begin();
    setup->intonation.hear = PASSO_HEAR_EVERY_PASS;
    stage_play(stage, setup);
    assert_true(!shown.plays && shown.block);
    assert_int_equal(shown.played_ms, 10000);
    assert_int_equal(stage->band.result.played_ns, 10000000000);
    free(setup);
    stage_free(stage);
}

/* From G-flat major to D-flat major. */
static void the_last_rest_shows_the_next_key(void **state)
{
    (void)state;
    static const struct passo_key c = {0, PASSO_MODE_MAJOR};
    static const struct passo_key g_flat = {-6, PASSO_MODE_MAJOR};
    static const struct passo_key d_flat = {-5, PASSO_MODE_MAJOR};
    struct passo_setup *setup = block();
    struct stage *stage = begin();
    snprintf(setup->passage.title, sizeof setup->passage.title, "G-flat major");
    stage->run.plays = true;
    stage->run.shift = passo_interval_between(c, g_flat);
    stage->run.then_words = "Then D-flat major.";
    stage->run.then_title = "D-flat major";
    stage->run.then_shift = passo_interval_between(c, d_flat);
    stage_play(stage, setup);
    assert_true(shown.other > 0 && shown.last > 0 && shown.moved);
    assert_string_equal(shown.title[0], "G-flat major");
    assert_string_equal(shown.title[1], "D-flat major");
    assert_int_equal(shown.notes, 5);
    /* C 4 and G 4 as written: G-flat 3 and D-flat 4, then D-flat 4 and A-flat 4. */
    static const struct passo_pitch first[] = {{-6, 3}, {-5, 4}};
    static const struct passo_pitch end[] = {{-5, 4}, {-4, 4}};
    for (int i = 0; i < 2; i++) {
        assert_int_equal(shown.first[i].fifths, first[i].fifths);
        assert_int_equal(shown.first[i].octave, first[i].octave);
        assert_int_equal(shown.end[i].fifths, end[i].fifths);
        assert_int_equal(shown.end[i].octave, end[i].octave);
    }
    free(setup);
    stage_free(stage);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(who_listens_does_not_play),
        cmocka_unit_test(the_last_rest_shows_the_next_key),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
