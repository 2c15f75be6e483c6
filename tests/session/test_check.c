/* Session 9 of trade.md: the check on a concert day, five spots in the programme's order at their
 * tempo, each one pass and after a miss one more at 80 %, played by the real conductor one after
 * the other on one stream in simulated time. The rest rule and the figures are the trade page's,
 * common practice among players. */
#include "items.h"

#include "store/past.h"
#include "text/notation.h"

enum { SPOTS = 5 };

struct spot {
    const char *const options[12];
    double played_s; /* body and landing, by trade.md */
};

static const struct spot spots[SPOTS] = {
    {{"title", "Lantern March", "bars", "1-4", "meter", "4/4", "target", "132"}, 7.727},
    {{"title", "Ferry Waltz", "bars", "9-16", "meter", "3/4", "target", "112"}, 13.393},
    {{"title", "Mill Race", "bars", "33-40", "meter", "4/4", "target", "96"}, 20.625},
    {{"title", "Evening Hymn", "bars", "1-4", "meter", "3/4", "target", "66"}, 11.818},
    {{"title", "Market Day", "bars", "17-20", "meter", "4/4", "target", "88"}, 11.591},
};

static char folder[] = "/tmp/passo-check-XXXXXX";
static char log_path[64];
static char csv_path[64];

static int set_up(void **state)
{
    (void)state;
    if (!mkdtemp(folder))
        return -1;
    snprintf(log_path, sizeof log_path, "%s/log.sqlite", folder);
    snprintf(csv_path, sizeof csv_path, "%s/rows.csv", folder);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    char remove[96];
    snprintf(remove, sizeof remove, "rm -rf %s", folder);
    return system(remove);
}

static struct passo_setup *setup_of(const struct spot *spot)
{
    struct passo_setup *setup = stage_setup(spot->options);
    stage_once(setup, PASSO_CLIMBS_CHECK, 800);
    struct passo_rule *rule = &setup->course.stage[0].rule;
    rule->rest_permille = 2000;
    rule->rest_least_ms = 15000;
    rule->rest_most_ms = 0;
    return setup;
}

struct came {
    struct passo_climb_result result[SPOTS];
    double stream_s; /* of the one stream, the five times before a first count-in taken off */
    bool once_more;  /* of C */
    bool said_end;
    char last[PASSO_WORDS_BYTES]; /* the last that was said of E */
};

/* keys: of each spot the mark of its passes, "c", "mc": each pressed in the rest. */
static void play_check(struct stage *stage, const char *const *keys, struct came *came)
{
    static const char *const then[SPOTS] = {"Then Ferry Waltz.", "Then Mill Race.",
                                            "Then Evening Hymn.", "Then Market Day.", ""};
    char fault[512];
    memset(came, 0, sizeof *came);
    unlink(log_path);
    unlink(csv_path);
    assert_int_equal(passo_log_open(log_path, PASSO_LOG_KEEP, &stage->run.log, fault, sizeof fault),
                     PASSO_OK);
    assert_int_equal(passo_csv_open(csv_path, false, &stage->run.csv, fault, sizeof fault),
                     PASSO_OK);
    stage->run.extra = PASSO_EXTRA_CHECK;
    stage->run.setup_text = "";
    const int64_t from_ns = stage_now_ns(stage);
    for (size_t i = 0; i < SPOTS; i++) {
        struct passo_setup *setup = setup_of(&spots[i]);
        double at_s = 0;
        for (const char *key = keys[i]; *key; key++) {
            /* Within the rest: a count-in takes up to 3.2 s, a rest is twice the playing. */
            at_s += 6 + spots[i].played_s * (key == keys[i] ? 1 : 1.25);
            stage_press(stage, at_s, *key == 'c' ? PASSO_COMMAND_CLEAN : PASSO_COMMAND_MISS);
            at_s += 2 * spots[i].played_s - 3;
        }
        stage->run.then_words = then[i];
        stage_play(stage, setup);
        came->result[i] = stage->band.result;
        if (i == 2)
            came->once_more =
                stage_said(stage, PASSO_SAY_MOVE, "Missed: once more at quarter = 76.8, then on.");
        came->said_end |= stage_said_of(stage, PASSO_SAY_END) > 0;
        snprintf(came->last, sizeof came->last, "%s", stage->band.line[stage->band.lines - 1]);
        if (then[i][0])
            assert_int_equal(stage->band.kind[stage->band.lines - 1], PASSO_SAY_MOVE);
        free(setup);
    }
    came->stream_s = (double)(stage_now_ns(stage) - from_ns) / 1e9 - SPOTS * 0.030;
    assert_int_equal(passo_csv_close(stage->run.csv), PASSO_OK);
    passo_log_close(stage->run.log);
    band_read_rows(&stage->band, csv_path);
}

/* No level, no tempo to resume from, no mark in the curve: of each piece nothing is known. */
static void assert_nothing_of_the_ladder_moved(void)
{
    char fault[512];
    struct passo_log *log = NULL;
    assert_int_equal(passo_log_open(log_path, PASSO_LOG_KEEP, &log, fault, sizeof fault), PASSO_OK);
    for (size_t i = 0; i < SPOTS; i++) {
        struct passo_past_log past;
        const struct passo_past_wish wish = {.passage = spots[i].options[1],
                                             .piece = "",
                                             .player = "",
                                             .beat = {1, 4},
                                             .today = 99991231,
                                             .read_beat = passo_note_value_read};
        assert_int_equal(passo_past_read_log(log, &wish, &past, fault, sizeof fault), PASSO_OK);
        assert_int_equal(past.last_day, 0);
        assert_int_equal(past.pasts, 0);
        assert_int_equal(past.passes, 0);
        assert_int_equal(past.best_won_mbpm, 0);
        passo_past_deinit(&past);
    }
    passo_log_close(log);
}

static double total_s(const struct came *came)
{
    double total = 0;
    for (size_t i = 0; i < SPOTS; i++)
        total += (double)came->result[i].elapsed_ns / 1e9;
    return total;
}

static void all_clean(void **state)
{
    (void)state;
    static const char *const keys[SPOTS] = {"c", "c", "c", "c", "c"};
    static const double tempi[SPOTS] = {132, 112, 96, 66, 88};
    struct stage *stage = stage_new();
    struct came came;
    play_check(stage, keys, &came);
    assert_int_equal(stage->band.rows, SPOTS);
    for (size_t i = 0; i < SPOTS; i++) {
        const struct band_row *row = &stage->band.row[i];
        assert_string_equal(row->part, "check");
        assert_string_equal(row->mark, "clean");
        assert_string_equal(row->move, "");
        assert_true(row->tempo == tempi[i]);
        assert_true(row->next == 0);
        /* to the millisecond, as trade.md has them; the rest twice that, at least 15 s */
        assert_true(row->play_s - spots[i].played_s < 0.00051);
        assert_true(spots[i].played_s - row->play_s < 0.00051);
        double rest_s = 2 * row->play_s > 15 ? 2 * row->play_s : 15;
        assert_true(row->rest_s - rest_s < 0.0011 && rest_s - row->rest_s < 0.0011);
        assert_int_equal(came.result[i].outcome, PASSO_OUTCOME_WON);
        assert_int_equal(came.result[i].end, PASSO_END_RULE);
        assert_true((double)came.result[i].played_ns / 1e9 - row->play_s < 0.001);
        assert_true((double)came.result[i].rested_ns / 1e9 - row->rest_s < 0.001);
    }
    BAND_CLOCK(total_s(&came), 206.8);
    BAND_CLOCK(came.stream_s, 206.8);
    assert_false(came.once_more);
    assert_false(came.said_end); /* no result, no score */
    assert_string_equal(came.last, "That was the last.");
    assert_nothing_of_the_ladder_moved();
    stage_free(stage);
}

/* C is missed: one at 76.8, and however that goes no third, then D. */
static void missed_once(struct stage *stage, const char *second, const char *mark)
{
    const char *const keys[SPOTS] = {"c", "c", second, "c", "c"};
    static const double tempi[SPOTS + 1] = {132, 112, 96, 76.8, 66, 88};
    struct came came;
    stage->band.rows = 0;
    play_check(stage, keys, &came);
    assert_int_equal(stage->band.rows, SPOTS + 1);
    band_expect_tempi(&stage->band, SPOTS + 1, tempi);
    for (size_t i = 0; i < SPOTS + 1; i++)
        assert_string_equal(stage->band.row[i].part, "check");
    assert_string_equal(stage->band.row[2].mark, "miss");
    assert_string_equal(stage->band.row[2].move, "held");
    assert_true(stage->band.row[2].next == 76.8);
    assert_string_equal(stage->band.row[3].mark, mark);
    assert_string_equal(stage->band.row[3].move, "");
    assert_true(stage->band.row[3].next == 0);
    assert_int_equal(came.result[2].outcome, PASSO_OUTCOME_MISSES);
    assert_int_equal(came.result[2].passes, 2);
    assert_int_equal(came.result[3].passes, 1);
    assert_true(came.once_more);
    assert_false(came.said_end);
    /* one bar of count-in, 33 beats and twice as long a rest at 76.8 */
    BAND_CLOCK(total_s(&came), 206.8 + (4 + 33 + 66) * 60 / 76.8);
    assert_nothing_of_the_ladder_moved();
}

static void c_is_missed(void **state)
{
    (void)state;
    struct stage *stage = stage_new();
    missed_once(stage, "mc", "clean");
    missed_once(stage, "mm", "miss");
    missed_once(stage, "m", "unmarked");
    stage_free(stage);
}

/* Nobody has to say how it was. */
static void a_pass_without_a_mark_is_let_pass(void **state)
{
    (void)state;
    static const char *const keys[SPOTS] = {"", "", "", "", ""};
    struct stage *stage = stage_new();
    struct came came;
    play_check(stage, keys, &came);
    assert_int_equal(stage->band.rows, SPOTS);
    for (size_t i = 0; i < SPOTS; i++) {
        assert_string_equal(stage->band.row[i].mark, "unmarked");
        assert_int_equal(came.result[i].outcome, PASSO_OUTCOME_DONE);
    }
    BAND_CLOCK(total_s(&came), 206.8);
    stage_free(stage);
}

/* What the screen asks and says in the rest of a spot, and that no hand moves it. */
static void plain_words(void **state)
{
    (void)state;
    struct stage *stage = stage_new();
    struct passo_setup *setup = setup_of(&spots[2]);
    stage->run.then_words = "Then Evening Hymn.";
    stage_press(stage, 5, PASSO_COMMAND_HARDER);
    stage_press(stage, 6, PASSO_COMMAND_TURN);
    stage_press(stage, 7, PASSO_COMMAND_EXTEND);
    stage_press(stage, 30, PASSO_COMMAND_MISS);
    stage_press(stage, 140, PASSO_COMMAND_CLEAN);
    stage_play(stage, setup);
    STAGE_SAID(stage, PASSO_SAY_START, "Mill Race, bars 33-40: once at quarter = 96.");
    STAGE_SAID(stage, PASSO_SAY_NOTICE, "A check is played as it stands.");
    STAGE_SAID(stage, PASSO_SAY_NOTICE, "There is no limit here that could be put off.");
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Missed: once more at quarter = 76.8, then on.");
    STAGE_SAID(stage, PASSO_SAY_PASS, "Pass 2: quarter = 76.8 \u00b7 bars 33-40");
    STAGE_SAID(stage, PASSO_SAY_MOVE, "On to the next.");
    STAGE_SAID(stage, PASSO_SAY_MOVE, "Next: Evening Hymn.");
    size_t told = 0; /* when each pass was played, and not again with its mark */
    for (size_t i = 0; i < stage->band.lines; i++)
        told += !strcmp(stage->band.line[i], "Next: Evening Hymn.");
    assert_int_equal(told, 2);
    STAGE_SHOWED(stage, "How was it? Space clean, x miss. Then Evening Hymn.");
    STAGE_SHOWED(stage, "Next: bars 33-40 \u00b7 quarter = 76.8.");
    STAGE_SHOWED(stage, "Next: Evening Hymn.");
    assert_string_equal(stage->count, "");
    assert_string_equal(stage->band.result.words, "Touched once more.");
    free(setup);
    stage_free(stage);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_clean),
        cmocka_unit_test(c_is_missed),
        cmocka_unit_test(a_pass_without_a_mark_is_let_pass),
        cmocka_unit_test(plain_words),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
