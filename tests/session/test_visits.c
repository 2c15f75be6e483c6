/* Visits of a day through the real conductor in simulated time: the keys that leave them, what is
 * said at their end, their rows, and more time by hand. */
#include "items_heard.h"

static void keys_that_leave_an_item(void **state)
{
    (void)state;
    static const struct {
        enum passo_command command;
        enum passo_climb_end end;
    } keys[] = {{PASSO_COMMAND_SKIP, PASSO_END_SKIP},
                {PASSO_COMMAND_PUT_OFF, PASSO_END_PUT_OFF},
                {PASSO_COMMAND_QUIT, PASSO_END_QUIT}};
    struct stage *stage = begin_day();
    struct passo_setup *setup = visit("1 pass");
    for (size_t i = 0; i < 3; i++) {
        stage->run.in_day = true;
        stage_press(stage, 0.3, i < 2 ? keys[i].command : PASSO_COMMAND_NONE);
        stage_press(stage, 3, keys[i].command);
        stage_play(stage, setup);
        assert_int_equal(stage->band.result.end, keys[i].end);
        assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_QUIT);
        assert_int_equal(stage->band.result.passes, 0);
        assert_false(stage->band.result.cut_short);
        assert_int_equal(stage_said_of(stage, PASSO_SAY_END), 0);
        /* In its last rest it is done, whatever the key. */
        stage_press(stage, 12.5, PASSO_COMMAND_CLEAN);
        stage_press(stage, 13.5, keys[i].command);
        stage_play(stage, setup);
        assert_int_equal(stage->band.result.end, i < 2 ? PASSO_END_RULE : PASSO_END_QUIT);
        assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_PASSES);
        assert_int_equal(stage_said_of(stage, PASSO_SAY_END), 1);
    }
    /* Without a day there is nothing to leave it for. */
    stage->run.in_day = false;
    stage_press(stage, 3, PASSO_COMMAND_SKIP);
    stage_press(stage, 4, PASSO_COMMAND_PUT_OFF);
    stage_press(stage, 12.5, PASSO_COMMAND_CLEAN);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.end, PASSO_END_RULE);
    assert_int_equal(stage->band.result.passes, 1);
    free(setup);
    stage_free(stage);
}

static bool hung_up;

static bool press_hung_up(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    bool pressed = band_press(view, now_ns, out_press);
    out_press->hung_up = pressed && hung_up;
    return pressed;
}

static void a_terminal_that_is_gone_cuts_it_short(void **state)
{
    (void)state;
    static struct passo_view_ops ops;
    struct stage *stage = begin_day();
    struct passo_setup *setup = visit("6 passes");
    ops = stage_view;
    ops.press = press_hung_up;
    stage->band.view.ops = &ops;
    hung_up = true;
    stage_press(stage, 6, PASSO_COMMAND_QUIT);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.end, PASSO_END_QUIT);
    assert_true(stage->band.result.cut_short);
    free(setup);
    stage_free(stage);
}

/* What comes after a visit is told once its last pass is played, whatever the mark. */
static void what_comes_then(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = visit("2 passes");
    stage->run.then_words = "Then E major.";
    stage_press(stage, 13, PASSO_COMMAND_CLEAN);
    stage_press(stage, 28.5, PASSO_COMMAND_MISS);
    stage_play(stage, setup);
    assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_PASSES);
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Next: E major.");
    STAGE_SAID(stage, PASSO_SAY_END,
               "All the passes that count are played. Best tempo won: quarter = 50, after 2 "
               "passes.");
    STAGE_SHOWED(stage, "How was it? Space clean, x miss. Then bar 7 \u00b7 quarter = 50.");
    size_t told = 0;
    for (size_t i = 0; i < stage->band.lines; i++)
        told += !strcmp(stage->band.line[i], "Next: E major.");
    assert_int_equal(told, 1);
    STAGE_SHOWED(stage, "Next: E major.");
    free(setup);
    stage_free(stage);
}

/* --- the record --- */

struct recorded {
    char folder[32];
    char log[64];
    char csv[64];
};

static struct recorded record_begin(struct stage *stage)
{
    struct recorded recorded = {.folder = "/tmp/passo-items-XXXXXX"};
    char fault[512];
    assert_non_null(mkdtemp(recorded.folder));
    snprintf(recorded.log, sizeof recorded.log, "%s/log.sqlite", recorded.folder);
    snprintf(recorded.csv, sizeof recorded.csv, "%s/rows.csv", recorded.folder);
    assert_int_equal(
        passo_log_open(recorded.log, PASSO_LOG_KEEP, &stage->run.log, fault, sizeof fault),
        PASSO_OK);
    assert_int_equal(passo_csv_open(recorded.csv, true, &stage->run.csv, fault, sizeof fault),
                     PASSO_OK);
    stage->run.setup_text = "";
    return recorded;
}

static void count_row(void *user, const struct passo_row *row)
{
    size_t *rows = user;
    rows[row->extra]++;
}

/* Closes both; rows of the log by their extra. */
static void record_end(struct stage *stage, const struct recorded *recorded,
                       size_t rows[PASSO_EXTRA_COUNT])
{
    const struct passo_log_wish wish = {0};
    char fault[512];
    char remove[64];
    memset(rows, 0, PASSO_EXTRA_COUNT * sizeof *rows);
    assert_int_equal(passo_log_rows(stage->run.log, &wish, count_row, rows, fault, sizeof fault),
                     PASSO_OK);
    passo_log_close(stage->run.log);
    assert_int_equal(passo_csv_close(stage->run.csv), PASSO_OK);
    band_read_rows(&stage->band, recorded->csv);
    snprintf(remove, sizeof remove, "rm -rf %s", recorded->folder);
    assert_int_equal(system(remove), 0);
}

static void a_block_leaves_no_row_and_a_visit_its_own(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *first = block(2);
    struct passo_setup *second = visit("2 passes");
    second->course.stage[0].rule.finish_passes = 1;
    second->course.stage[0].rule.cold = true;
    size_t rows[PASSO_EXTRA_COUNT];
    struct recorded recorded = record_begin(stage);
    stage->run.unrecorded = true;
    stage_play(stage, first);
    stage->run.unrecorded = false;
    stage->run.extra = PASSO_EXTRA_VISIT;
    stage_press(stage, 11, PASSO_COMMAND_MISS); /* cold, at 60: 4 + 5 s */
    stage_press(stage, 28, PASSO_COMMAND_CLEAN);
    stage_press(stage, 45, PASSO_COMMAND_CLEAN);
    stage_play(stage, second);
    record_end(stage, &recorded, rows);
    assert_int_equal(rows[PASSO_EXTRA_NONE], 2);
    assert_int_equal(rows[PASSO_EXTRA_VISIT], 2);
    assert_int_equal(stage->band.rows, 4);
    assert_string_equal(stage->band.row[0].part, "cold");
    assert_string_equal(stage->band.row[1].part, "visit");
    assert_string_equal(stage->band.row[1].mark, "clean");
    assert_string_equal(stage->band.row[1].move, "raised");
    assert_int_equal(stage->band.row[1].cleans, 1);
    assert_string_equal(stage->band.row[2].part, "visit");
    assert_string_equal(stage->band.row[3].part, "context");
    free(first);
    free(second);
    stage_free(stage);
}

/* More passes by hand: what the pass before did stands in its row, and the cue is not the cue of a
 * move; the time that was said to be nearly up is not, and is told again. */
static void more_by_hand(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = visit("2 passes");
    struct passo_rule *rule = &setup->course.stage[0].rule;
    rule->drop = PASSO_DROP_HOLD;
    rule->tired_misses = 0;
    size_t rows[PASSO_EXTRA_COUNT];
    struct recorded recorded = record_begin(stage);
    stage_press(stage, 13, PASSO_COMMAND_CLEAN);
    stage_press(stage, 14, PASSO_COMMAND_EXTEND);
    for (int i = 0; i < 5; i++) /* at 55: 4.364 s of count-in, 5.455 s of playing */
        stage_press(stage, 16.8 + 9.82 + 15.82 * i + 2, PASSO_COMMAND_MISS);
    stage_play(stage, setup);
    record_end(stage, &recorded, rows);
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Four passes more.");
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Those were the 6 passes that count.");
    STAGE_SAID(stage, PASSO_SAY_PASS, "Pass 6: quarter = 55 \u00b7 bar 7");
    assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_PASSES);
    assert_string_equal(stage->band.row[0].move, "raised");
    assert_int_equal(stage->band.rows, 6);
    assert_int_equal(cues[PASSO_CUE_RAISED], 1);
    assert_int_equal(cues[PASSO_CUE_AGAIN], 4); /* of the misses but the last */
    free(setup);
    stage_free(stage);
}

/* A pass at 50 and its rest take 16.8 s: they end 10.8, 27.6, 44.4, 61.2 s after the beginning. */
static void the_time_is_nearly_up_twice(void **state)
{
    (void)state;
    struct stage *stage = begin_day();
    struct passo_setup *setup = visit("70 s");
    setup->course.stage[0].rule.tired_misses = 0;
    size_t told = 0;
    size_t passes = 0;
    size_t told_at[3] = {0};
    for (int i = 0; i < 12; i++) {
        stage_press(stage, 10.8 + 16.8 * i + 1, PASSO_COMMAND_MISS);
        if (i == 3)
            stage_press(stage, 10.8 + 16.8 * i + 2, PASSO_COMMAND_EXTEND);
    }
    stage_play(stage, setup);
    for (size_t i = 0; i < stage->band.lines; i++) {
        passes += stage->band.kind[i] == PASSO_SAY_PASS;
        if (told < 3 && !strcmp(stage->band.line[i], "The time is nearly up."))
            told_at[told++] = passes;
    }
    assert_int_equal(told, 2);
    assert_int_equal(told_at[0], 4);
    assert_int_equal(told_at[1], 10); /* 162 s; a fifth of 190 s is left from 152 s on */
    assert_int_equal(stage->band.result.outcome, PASSO_OUTCOME_TIME);
    assert_int_equal(stage->band.result.passes, 12); /* 178.8 s is not yet 190 s */
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Two minutes more.");
    free(setup);
    stage_free(stage);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_that_leave_an_item),
        cmocka_unit_test(a_terminal_that_is_gone_cuts_it_short),
        cmocka_unit_test(what_comes_then),
        cmocka_unit_test(a_block_leaves_no_row_and_a_visit_its_own),
        cmocka_unit_test(more_by_hand),
        cmocka_unit_test(the_time_is_nearly_up_twice),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
