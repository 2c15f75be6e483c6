/* What is written into the log is what comes back: names of sessions, the last change over a pass,
 * orders, wishes, players, and days by hand. */
#include "store/log_tools.h"

static const struct passo_log_wish every = {0};

/* Before 1970, with nothing that is usual. */
static struct passo_row odd_row(void)
{
    struct passo_row row = row_at(1, -5 * SECOND - 1);
    passo_row_time(&row, row.time_ns, -34200);
    assert_int_equal(row.day, 19691231);
    row.bars = "";
    row.variant = "Kantilene \xc3\xa4 \xff"; /* not UTF-8 either */
    row.off_pitch = true;
    row.rest_ns = 1499999;
    row.elapsed_ns = 1500000;
    row.play_ns = 499999;
    row.miss_bar = -3;
    row.clean_in_a_row = UINT32_MAX;
    return row;
}

static void test_a_pass_comes_back_as_it_was(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    struct passo_log_climb climb = climb_at("A.B.", "=Solo, \"loud\"\n", -5 * SECOND - 1);
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(log, &climb, session);
    struct passo_row row = odd_row();
    play(log, &row);
    assert_int_equal(passo_log_waiting(log), 2);
    struct rows none = rows_of(log, every);
    assert_int_equal(none.count, 0); /* it waits */
    commit_log(log);
    struct rows rows = rows_of(log, every);
    assert_int_equal(rows.count, 1);
    row.player = "A.B.";
    row.session = "20261125T193005";
    row.passage = climb.passage;
    row.piece = climb.piece;
    row.rest_ns = 1000000; /* to the millisecond, as the CSV has them */
    row.elapsed_ns = 2000000;
    row.play_ns = 0;
    assert_true(same_row(&rows.at[0], &row));
    free_rows(&rows);
    passo_log_close(log);
    log = open_log(path, PASSO_LOG_LOOK);
    rows = rows_of(log, every);
    assert_int_equal(rows.count, 1);
    assert_true(same_row(&rows.at[0], &row));
    free_rows(&rows);
    passo_log_close(log);
    assert_sound(path);
    free(path);
    remove_folder(folder);
}

static void test_every_part_comes_back(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING);
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(log, &climb, session);
    uint32_t number = 0;
    for (int part = 0; part < PASSO_PART_DONE + 2; part++) {
        struct passo_row row = row_at(++number, EVENING);
        row.part = (enum passo_part)part;
        if (part >= PASSO_PART_DONE) {
            row.part = PASSO_PART_COUNT;
            row.extra = (enum passo_extra)(part - PASSO_PART_DONE + 1);
        }
        row.move = (enum passo_move)(number % PASSO_MOVE_COUNT);
        play(log, &row);
    }
    commit_log(log);
    struct rows rows = rows_of(log, every);
    assert_int_equal(rows.count, number);
    for (uint32_t i = 0; i < number; i++) {
        struct passo_row named;
        assert_true(passo_row_part_read(&named, passo_row_part_name(&rows.at[i])));
        assert_int_equal(rows.at[i].pass, i + 1);
        assert_int_equal(rows.at[i].part, i < PASSO_PART_DONE ? i : PASSO_PART_COUNT);
        assert_int_equal(rows.at[i].extra, i < PASSO_PART_DONE ? 0 : i - PASSO_PART_DONE + 1);
        assert_int_equal(rows.at[i].move, (i + 1) % PASSO_MOVE_COUNT);
    }
    free_rows(&rows);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

static void test_the_last_change_holds(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING);
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(log, &climb, session);
    struct passo_row first = row_at(1, EVENING);
    struct passo_row second = row_at(2, EVENING + 40 * SECOND);
    play(log, &first);
    play(log, &second);
    mark(log, &first, PASSO_MARK_CLEAN);
    mark(log, &second, PASSO_MARK_MISS);
    mark(log, &first, PASSO_MARK_NONE);
    commit_log(log);
    struct rows rows = rows_of(log, every);
    assert_int_equal(rows.at[0].mark, PASSO_MARK_NONE);
    assert_string_equal(rows.at[0].marked_by, "");
    assert_int_equal(rows.at[0].rest_ns, 0);
    assert_int_equal(rows.at[1].mark, PASSO_MARK_MISS);
    assert_int_equal(rows.at[1].miss_bar, 34);
    free_rows(&rows);
    mark(log, &first, PASSO_MARK_MISS);
    close_pass(log, &first);
    commit_log(log);
    rows = rows_of(log, every);
    assert_int_equal(rows.at[0].mark, PASSO_MARK_MISS);
    assert_int_equal(rows.at[0].rest_ns, 13 * SECOND); /* .4996 ms is none */
    assert_int_equal(rows.at[0].elapsed_ns, 40 * SECOND);
    free_rows(&rows);
    /* what was is still there */
    assert_answer(path, "SELECT group_concat(kind) FROM change", "0,0,1,0,2");
    assert_answer(path, "SELECT group_concat(mark) FROM pass", "0,0");
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

static void test_session_names(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    struct passo_log_climb climb = climb_at("A.B.", "Run", EVENING);
    struct passo_log_climb other = climb_at("A.B.", "Walk", EVENING);
    char session[PASSO_SESSION_BYTES];
    passo_log_begin(log, &climb, session);
    assert_string_equal(session, "20261125T193005");
    passo_log_begin(log, &climb, session); /* while the first still waits */
    assert_string_equal(session, "20261125T193005-2");
    passo_log_begin(log, &other, session);
    assert_string_equal(session, "20261125T193005");
    commit_log(log);
    passo_log_close(log);
    log = open_log(path, PASSO_LOG_KEEP);
    passo_log_begin(log, &climb, session);
    assert_string_equal(session, "20261125T193005-3");
    climb.session = "a name that is much longer than any session's name ever was";
    passo_log_begin(log, &climb, session);
    assert_string_equal(session, "a name that is much longer than");
    passo_log_begin(log, &climb, session);
    assert_string_equal(session, "a name that is much longer th-2");
    commit_log(log);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* Both ask for a name that is free, and both then write. */
static void test_a_name_that_was_taken_meanwhile(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *one = open_log(path, PASSO_LOG_KEEP);
    struct passo_log *two = open_log(path, PASSO_LOG_KEEP);
    play_climb(one, climb_at("A.B.", "Run", EVENING), 3);
    play_climb(two, climb_at("A.B.", "Run", EVENING), 2);
    commit_log(one);
    commit_log(two);
    struct rows rows = rows_of(one, every);
    assert_int_equal(rows.count, 5);
    assert_string_equal(rows.at[2].session, "20261125T193005");
    assert_string_equal(rows.at[3].session, "20261125T193005-2");
    assert_int_equal(rows.at[4].mark, PASSO_MARK_CLEAN);
    free_rows(&rows);
    passo_log_close(one);
    passo_log_close(two);
    free(path);
    remove_folder(folder);
}

static size_t count_rows(struct passo_log *log, struct passo_log_wish wish)
{
    struct rows rows = rows_of(log, wish);
    size_t count = rows.count;
    free_rows(&rows);
    return count;
}

static void test_orders_and_wishes(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    play_climb(log, climb_at("C.D.", "Run", EVENING + 2 * 86400 * SECOND), 1);
    play_climb(log, climb_at("A.B.", "Walk", EVENING), 2);
    play_climb(log, climb_at("A.B.", "Run", EVENING + 999999999), 2); /* the same second */
    play_climb(log, climb_at("", "Run", EVENING - SECOND), 1);
    commit_log(log);
    struct rows rows = rows_of(log, every);
    static const char *const wanted[] = {"/Run/1",      "A.B./Run/1",  "A.B./Run/2",
                                         "A.B./Walk/1", "A.B./Walk/2", "C.D./Run/1"};
    assert_int_equal(rows.count, 6);
    for (size_t i = 0; i < 6; i++) {
        char got[64];
        snprintf(got, sizeof got, "%s/%s/%u", rows.at[i].player, rows.at[i].passage,
                 rows.at[i].pass);
        assert_string_equal(got, wanted[i]);
    }
    free_rows(&rows);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.player = ""}), 1);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.player = "A.B."}), 4);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.player = "a.b."}), 0);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.passage = "Run"}), 4);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.piece = "Run"}), 0);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.player = "A.B.", .passage = "Walk"}),
                     2);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.from_day = 20261126}), 1);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.from_day = 20261127}), 1);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.from_day = 20261128}), 0);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.to_day = 20261126}), 5);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.to_day = 20261124}), 0);
    assert_int_equal(
        count_rows(log, (struct passo_log_wish){.from_day = 20261125, .to_day = 20261125}), 5);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* Several wishes in one reading: each has its own days, and all are in one order. */
static void test_several_wishes(void **state)
{
    (void)state;
    static const struct passo_log_wish wish[] = {
        {.player = "A.B.", .passage = "Walk", .from_day = 20261126},
        {.player = "A.B.", .passage = "Run", .to_day = 20261125},
        {.passage = "Run", .from_day = 20261127}, /* of A.B. the one before it holds */
        {.passage = "Nowhere"},
    };
    static const char *const wanted[] = {"A.B./Run/20261125", "A.B./Run/20261125",
                                         "A.B./Walk/20261126", "C.D./Run/20261127"};
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    char fault[FAULT_BYTES];
    for (int day = 2; day >= 0; day--) {
        play_climb(log, climb_at("C.D.", "Run", EVENING + day * 86400 * SECOND), 1);
        play_climb(log, climb_at("A.B.", "Run", EVENING + day * 86400 * SECOND), day ? 1 : 2);
        play_climb(log, climb_at("A.B.", "Sit", EVENING + day * 86400 * SECOND), 1);
    }
    play_climb(log, climb_at("A.B.", "Walk", EVENING), 1);
    play_climb(log, climb_at("A.B.", "Walk", EVENING + 86400 * SECOND), 1);
    commit_log(log);
    struct rows rows = {0};
    assert_int_equal(passo_log_rows_of(log, wish, sizeof wish / sizeof wish[0], add_row, &rows,
                                       fault, sizeof fault),
                     PASSO_OK);
    assert_int_equal(rows.count, 4);
    for (size_t i = 0; i < 4; i++) {
        char got[64];
        snprintf(got, sizeof got, "%s/%s/%d", rows.at[i].player, rows.at[i].passage,
                 rows.at[i].day);
        assert_string_equal(got, wanted[i]);
    }
    free_rows(&rows);
    assert_int_equal(passo_log_rows_of(log, wish, 0, add_row, &rows, fault, sizeof fault),
                     PASSO_OK);
    assert_int_equal(rows.count, 0);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* A climb over midnight: half of it is of the day before, where it was played. */
static void test_a_wish_for_days_cuts_a_climb(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    int64_t midnight = EVENING + (4 * 3600 + 29 * 60 + 55) * SECOND; /* 23:00 UTC, 24:00 there */
    play_climb(log, climb_at("A.B.", "Run", midnight - 100 * SECOND), 4);
    commit_log(log);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.to_day = 20261125}), 2);
    assert_int_equal(count_rows(log, (struct passo_log_wish){.from_day = 20261126}), 2);
    struct days days = days_of(log, every);
    assert_int_equal(days.count, 2);
    assert_int_equal(days.at[0].day, 20261125);
    assert_int_equal(days.at[1].day, 20261126);
    assert_int_equal(days.at[1].passes, 2);
    free_days(&days);
    days = days_of(log, (struct passo_log_wish){.from_day = 20261126, .to_day = 20261126});
    assert_int_equal(days.count, 1);
    free_days(&days);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

static void add_name(void *user, const char *player)
{
    char *names = user;
    strcat(names, player);
    strcat(names, "|");
}

static void test_players_as_they_were_met(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    char fault[FAULT_BYTES];
    char names[64] = "";
    int64_t player;
    play_climb(log, climb_at("Z.Z.", "Run", EVENING), 1);
    play_climb(log, climb_at("A.B.", "Run", EVENING), 1);
    play_climb(log, climb_at("Z.Z.", "Walk", EVENING), 1);
    commit_log(log);
    assert_true(log_begin_work(log));
    assert_true(log_end_work(log, log_player(log, "", &player))); /* has no pass */
    assert_int_equal(passo_log_players(log, add_name, names, fault, sizeof fault), PASSO_OK);
    assert_string_equal(names, "Z.Z.|A.B.||");
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

/* By hand, from the story: the day with two targets, an octave, a void pass and a check. */
static void test_days_by_hand(void **state)
{
    (void)state;
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    write_story(log);
    struct days days = days_of(log, (struct passo_log_wish){.player = "A.B.", .passage = "Run"});
    assert_int_equal(days.count, 2);
    /* four passes in the evening, and one that was corrected an hour later */
    const struct passo_log_day *day = &days.at[0];
    assert_int_equal(day->day, 20261126);
    assert_int_equal(day->target_mbpm, 100000);
    assert_int_equal(day->passes, 5);
    assert_int_equal(day->clean, 4);
    assert_int_equal(day->missed, 1);
    assert_int_equal(day->play_ns, 5 * 12346000000LL);
    assert_int_equal(day->best_clean_mbpm, 76000);
    assert_int_equal(day->best_won_mbpm, 76000);
    assert_int_equal(day->first_try, PASSO_MARK_CLEAN);
    assert_int_equal(day->first_at_level, PASSO_MARK_NONE);
    assert_int_equal(day->ended, PASSO_MOVE_STOPPED);
    assert_int_equal(day->first_ns, EVENING + (86400 + 40) * SECOND);
    /* the octave wins its rung but is no clean pass at pitch; the void one is none at all */
    day = &days.at[1];
    assert_int_equal(day->target_mbpm, 96000);
    assert_int_equal(day->passes, 1);
    assert_int_equal(day->best_clean_mbpm, 0);
    assert_int_equal(day->best_won_mbpm, 95000);
    assert_int_equal(day->first_at_level, PASSO_MARK_CLEAN);
    free_days(&days);
    days = days_of(log, every);
    assert_int_equal(days.count, 4);
    assert_string_equal(days.at[0].passage, "Solo, bars 33 to 36"); /* met first */
    assert_string_equal(days.at[3].player, "");
    free_days(&days);
    passo_log_close(log);
    free(path);
    remove_folder(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_pass_comes_back_as_it_was),
        cmocka_unit_test(test_every_part_comes_back),
        cmocka_unit_test(test_the_last_change_holds),
        cmocka_unit_test(test_session_names),
        cmocka_unit_test(test_a_name_that_was_taken_meanwhile),
        cmocka_unit_test(test_orders_and_wishes),
        cmocka_unit_test(test_several_wishes),
        cmocka_unit_test(test_a_wish_for_days_cuts_a_climb),
        cmocka_unit_test(test_players_as_they_were_met),
        cmocka_unit_test(test_days_by_hand),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
