/* Visits and checks on their way through the log: what a day makes of them, out as CSV, in again,
 * and what a later climb goes by. A visit makes the level and wins rungs as a climb does; a check
 * is kept and shown, and changes nothing. */
#include "store/import.h"
#include "store/log_out.h"
#include "store/past.h"

#define ALL ((struct passo_log_wish){0})

static struct passo_row row_of(uint32_t pass, enum passo_extra extra, enum passo_mark mark,
                               enum passo_move move)
{
    struct passo_row row = row_at(pass, EVENING + pass * 60 * SECOND);
    row.part = extra ? PASSO_PART_COUNT : PASSO_PART_CLIMB;
    row.extra = extra;
    row.mark = mark;
    row.marked_by = "key";
    row.move = move;
    return row;
}

/* Six passes at 64, 68 ... 84, two of them won, the fourth missed; then 200 in a check. */
static void play_evening(struct passo_log *log, const char *title, enum passo_extra extra,
                         bool and_a_check)
{
    char session[PASSO_SESSION_BYTES];
    struct passo_log_climb climb = climb_at("A.B.", title, EVENING);
    passo_log_begin(log, &climb, session);
    for (uint32_t pass = 1; pass <= 6; pass++) {
        enum passo_mark how = pass == 4 ? PASSO_MARK_MISS : PASSO_MARK_CLEAN;
        enum passo_move move = pass == 2 || pass == 5 ? PASSO_MOVE_RAISED : PASSO_MOVE_HELD;
        struct passo_row row = row_of(pass, extra, how, move);
        play(log, &row);
    }
    for (uint32_t pass = 7; and_a_check && pass <= 9; pass++) {
        struct passo_row row =
            row_of(pass, PASSO_EXTRA_CHECK, pass == 8 ? PASSO_MARK_MISS : PASSO_MARK_CLEAN,
                   pass == 9 ? PASSO_MOVE_WON : PASSO_MOVE_NONE);
        row.tempo_mbpm = 200000;
        play(log, &row);
    }
    commit_log(log);
}

/* As one that was climbed, but for the name. */
static void assert_like_climbed(struct passo_log *log, const char *title)
{
    struct days days = days_of(log, (struct passo_log_wish){.passage = title});
    struct days climbed = days_of(log, (struct passo_log_wish){.passage = "Climbed"});
    assert_int_equal(days.count, 1);
    assert_int_equal(climbed.count, 1);
    struct passo_log_day day = days.at[0];
    day.passage = climbed.at[0].passage;
    assert_true(same_day(&day, &climbed.at[0]));
    free_days(&days);
    free_days(&climbed);
}

static void assert_by_hand(struct passo_log *log)
{
    struct days days = days_of(log, (struct passo_log_wish){.passage = "Climbed"});
    assert_int_equal(days.at[0].passes, 6);
    assert_int_equal(days.at[0].clean, 5);
    assert_int_equal(days.at[0].missed, 1);
    assert_int_equal(days.at[0].best_clean_mbpm, 84000);
    assert_int_equal(days.at[0].best_won_mbpm, 80000);
    assert_int_equal(days.at[0].first_at_level, PASSO_MARK_NONE);
    free_days(&days);
    days = days_of(log, (struct passo_log_wish){.passage = "Only checked"});
    assert_int_equal(days.count, 0); /* no day of practice */
    free_days(&days);
    struct rows rows = rows_of(log, (struct passo_log_wish){.passage = "Only checked"});
    assert_int_equal(rows.count, 3); /* but they are kept */
    for (size_t i = 0; i < rows.count; i++)
        assert_string_equal(passo_row_part_name(&rows.at[i]), "check");
    free_rows(&rows);
}

static void play_all(struct passo_log *log)
{
    char session[PASSO_SESSION_BYTES];
    play_evening(log, "Climbed", PASSO_EXTRA_NONE, false);
    play_evening(log, "Visited", PASSO_EXTRA_VISIT, false);
    play_evening(log, "Visited and checked", PASSO_EXTRA_VISIT, true);
    struct passo_log_climb climb = climb_at("A.B.", "Only checked", EVENING);
    passo_log_begin(log, &climb, session);
    for (uint32_t pass = 1; pass <= 3; pass++) {
        struct passo_row row = row_of(pass, PASSO_EXTRA_CHECK, PASSO_MARK_CLEAN, PASSO_MOVE_RAISED);
        play(log, &row);
    }
    commit_log(log);
}

static void test_days(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_all(log);
    assert_by_hand(log);
    assert_like_climbed(log, "Visited");
    assert_like_climbed(log, "Visited and checked");
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

static size_t count_of(const char *text, const char *part)
{
    size_t count = 0;
    while ((text = strstr(text, part))) {
        count++;
        text++;
    }
    return count;
}

static void fail_on(void *user, const char *sentence)
{
    (void)user;
    fail_msg("%s", sentence);
}

/* Out, in elsewhere, and out again: the same rows, days and bytes; taken in once more, nothing. */
static void test_out_and_back(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path[] = {path_in(folder, "one.sqlite"), path_in(folder, "two.sqlite"),
                    path_in(folder, "out.csv"), path_in(folder, "days.csv")};
    struct passo_log *log = open_log(path[0], PASSO_LOG_KEEP);
    struct passo_log *other = open_log(path[1], PASSO_LOG_KEEP);
    char fault[FAULT_BYTES];
    play_all(log);
    char *text = exported(log, path[2], false);
    assert_int_equal(count_of(text, ",visit,"), 12);
    assert_int_equal(count_of(text, ",check,"), 6);
    assert_int_equal(count_of(text, ",climb,"), 6);
    const struct passo_import import = {.path = path[2], .fault = fail_on};
    for (int again = 0; again < 2; again++) {
        struct passo_import_result result;
        if (passo_log_import(other, &import, &result, fault, sizeof fault) != PASSO_OK)
            fail_msg("%s", fault);
        assert_int_equal(result.added, again ? 0 : 24);
        assert_int_equal(result.known, again ? 24 : 0);
    }
    struct rows rows[] = {rows_of(log, ALL), rows_of(other, ALL)};
    struct days days[] = {days_of(log, ALL), days_of(other, ALL)};
    assert_same_rows(&rows[0], &rows[1]);
    assert_same_days(&days[0], &days[1]);
    assert_by_hand(other);
    char *days_text = exported(log, path[3], true);
    char *days_back = exported(other, path[3], true);
    char *back = exported(other, path[2], false);
    assert_string_equal(text, back);
    assert_string_equal(days_text, days_back);
    assert_int_equal(count_of(days_text, "checked"), 1); /* of a check alone there is no day */
    for (int i = 0; i < 2; i++) {
        free_rows(&rows[i]);
        free_days(&days[i]);
    }
    free(text);
    free(back);
    free(days_text);
    free(days_back);
    passo_log_close(log);
    passo_log_close(other);
    for (int i = 0; i < 4; i++)
        free(path[i]);
    remove_folder(folder);
}

static enum passo_error read_beat(const char *name, struct passo_ratio *out_beat)
{
    (void)name;
    *out_beat = passo_ratio(1, 4);
    return PASSO_OK;
}

static struct passo_past_log past_of(struct passo_log *log, const char *title)
{
    const struct passo_past_wish wish = {.passage = title,
                                         .piece = "",
                                         .player = "A.B.",
                                         .beat = {1, 4},
                                         .target_mbpm = 100000,
                                         .today = 20261126,
                                         .read_beat = read_beat};
    struct passo_past_log past;
    char fault[FAULT_BYTES];
    assert_int_equal(passo_past_read_log(log, &wish, &past, fault, sizeof fault), PASSO_OK);
    return past;
}

/* What tomorrow's climb opens by. */
static void test_what_tomorrow_goes_by(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    static const char *const titles[] = {"Climbed", "Visited", "Visited and checked"};
    play_all(log);
    for (size_t i = 0; i < 3; i++) {
        struct passo_past_log past = past_of(log, titles[i]);
        assert_int_equal(past.last_day, 20261125);
        assert_int_equal(past.passes, 6);
        assert_int_equal(past.groups, 6);
        assert_int_equal(past.best_won_mbpm, 80000);
        assert_int_equal(past.pasts, 1);
        assert_int_equal(past.past[0].best_clean_mbpm, 84000);
        passo_past_deinit(&past);
    }
    struct passo_past_log past = past_of(log, "Only checked");
    assert_int_equal(past.last_day, 0);
    assert_int_equal(past.passes, 0);
    assert_int_equal(past.best_won_mbpm, 0);
    passo_past_deinit(&past);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_days),
        cmocka_unit_test(test_out_and_back),
        cmocka_unit_test(test_what_tomorrow_goes_by),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
