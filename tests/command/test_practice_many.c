/* What the log has of many passages: asked for at once they are as each asked for alone; where they
 * are secure, two other ways say too; and a log that is damaged is said to be. */
#include "practice_tools.h"
#include "report/report.h"
#include "store/past.h"
#include "text/notation.h"

#include <passo/random.h>

enum { PASSAGES = 30, SESSIONS = 260 };

static const char *title_of(int passage)
{
    static char title[PASSAGES][16];
    snprintf(title[passage], sizeof title[0], "Passage %d", passage);
    return title[passage];
}

/* Half a year of drawn practice. */
static void draw_log(struct passo_log *log, struct passo_random *random)
{
    for (int i = 0; i < SESSIONS; i++) {
        char marks[13];
        int bpm[13] = {0};
        int passes = 1 + (int)passo_random_below(random, 12);
        for (int pass = 0; pass < passes; pass++) {
            marks[pass] = "cccrmv"[passo_random_below(random, 6)];
            bpm[pass] = 60 + (int)passo_random_below(random, 45);
        }
        marks[passes] = '\0';
        bool dotted = passo_random_below(random, 4) == 0;
        play_session(log, (struct session){title_of((int)passo_random_below(random, PASSAGES)),
                                           i / 2 - 101, marks, bpm, dotted ? 66 : 99,
                                           .beat_unit = dotted ? "dotted quarter" : NULL,
                                           .loop = passo_random_below(random, 3) ? NULL : "A",
                                           .extra = passo_random_below(random, 3),
                                           .player = passo_random_below(random, 5) ? NULL : "C.D.",
                                           .hour = i % 2});
    }
    commit_log(log);
}

static void test_many_are_as_each_alone(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    struct passo_random random;
    struct passo_practice_ask ask[2 * PASSAGES];
    struct passo_practice practice[2 * PASSAGES];
    passo_random_seed(&random, 5);
    draw_log(trial.log, &random);
    for (int i = 0; i < PASSAGES; i++) {
        ask[i] = ask_of(title_of(7 * i % PASSAGES), QUARTER, 99); /* in another order */
        ask[PASSAGES + i] = ask_of(title_of(i), DOTTED, 66);      /* and a second time */
    }
    ask[3].title = NULL;
    read_many(trial.log, ask, 2 * PASSAGES, practice);
    size_t known = 0;
    for (int i = 0; i < 2 * PASSAGES; i++) {
        struct passo_practice alone;
        read_many(trial.log, &ask[i], 1, &alone);
        assert_same_practice(&alone, &practice[i]);
        known += alone.secure.kind != PASSO_SECURE_UNKNOWN;
    }
    assert_true(known > 10 && practice[3].passes == 0);
    end_trial(&trial);
}

static enum passo_error read_beat(const char *name, struct passo_ratio *out_beat)
{
    return passo_note_value_read(name, out_beat);
}

/* Two other ways to the secure tempo: a report of those weeks, which works every day out, to the
 * last bit; and the marks as a climb of today would gather them, which weighs them by their days at
 * once and not from day to day. */
static void test_secure_by_other_ways(void **state)
{
    (void)state;
    struct trial trial = begin_trial();
    struct passo_random random;
    size_t compared = 0;
    passo_random_seed(&random, 6);
    draw_log(trial.log, &random);
    for (int i = 0; i < PASSAGES; i++) {
        char fault[FAULT_BYTES];
        struct passo_practice practice = practice_of(trial.log, title_of(i), QUARTER, 99);
        if (practice.passes == 0)
            continue;
        int32_t from = passo_day_of(passo_day_count(practice.last_day) - 60);
        const struct passo_log_wish wish = {"A.B.", title_of(i), "Harvest March", from,
                                            practice.last_day};
        struct passo_report *report = passo_report_begin(TODAY, 0, 0);
        assert_int_equal(
            passo_log_rows(trial.log, &wish, passo_report_take, report, fault, sizeof fault),
            PASSO_OK);
        passo_report_settle(report);
        double factor = passo_ratio_cmp(report->passage[0]->beat, DOTTED) == 0 ? 1.5 : 1;
        assert_int_equal(practice.secure.kind, report->passage[0]->secure.kind);
        assert_true(practice.secure.bpm == report->passage[0]->secure.bpm * factor);
        assert_true(practice.secure.passes == report->passage[0]->secure.passes);
        passo_report_free(report);
        const struct passo_past_wish earlier = {.passage = title_of(i),
                                                .piece = "Harvest March",
                                                .player = "A.B.",
                                                .beat = QUARTER,
                                                .today = TODAY,
                                                .read_beat = read_beat};
        struct passo_past_log past;
        struct passo_secure secure;
        assert_int_equal(passo_past_read_log(trial.log, &earlier, &past, fault, sizeof fault),
                         PASSO_OK);
        passo_secure_fit(past.group, past.groups, &secure);
        /* what is older than the window weighs less than a four-hundredth each */
        if (secure.kind == practice.secure.kind && secure.kind == PASSO_SECURE_FITTED) {
            if (fabs(secure.bpm / practice.secure.bpm - 1) > 0.01)
                fail_msg("%s: %f and %f", title_of(i), secure.bpm, practice.secure.bpm);
            compared++;
        }
        passo_past_deinit(&past);
    }
    assert_true(compared >= 5);
    end_trial(&trial);
}

static void test_a_damaged_log(void **state)
{
    (void)state;
    static const char *const damage[] = {"UPDATE day SET day = 20261100",
                                         "UPDATE pass SET mark = 99",
                                         "DELETE FROM text WHERE text = 'Run'"};
    for (size_t i = 0; i < sizeof damage / sizeof damage[0]; i++) {
        struct trial trial = begin_trial();
        practise(trial.log, "Run", 20, "cm", (int[]){80, 0}, 100);
        commit_log(trial.log);
        assert_int_equal(sqlite3_exec(trial.log->db, "PRAGMA foreign_keys = OFF", 0, 0, 0),
                         SQLITE_OK);
        assert_int_equal(sqlite3_exec(trial.log->db, damage[i], 0, 0, 0), SQLITE_OK);
        log_texts_forget(&trial.log->texts);
        const struct passo_practice_wish wish = {.player = "A.B.", .today = TODAY};
        const struct passo_practice_ask ask = ask_of("Run", QUARTER, 100);
        struct passo_practice practice;
        char fault[FAULT_BYTES] = "";
        enum passo_error error =
            passo_practice_read(trial.log, &wish, &ask, 1, &practice, fault, sizeof fault);
        if (error != PASSO_ERR_SYNTAX || !strstr(fault, "this log is damaged"))
            fail_msg("not found: %s", damage[i]);
        end_trial(&trial);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_many_are_as_each_alone),
        cmocka_unit_test(test_secure_by_other_ways),
        cmocka_unit_test(test_a_damaged_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
