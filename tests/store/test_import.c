/* What is taken into the log comes out of it to the byte, whoever reads it; what is there is not
 * added again; corrections come once; a pass that was not closed is completed. */
#include "store/import_tools.h"

enum { ROWS = 2000, OF_ONE_CLIMB = 10 };

/* Offsets of several zones: both sides of a summer time, half and quarter hours, either end. */
static const int32_t offsets[] = {0, 3600, 7200, -18000, -14400, -12600, 20700, 45900, -43200};

static int by_text(const void *left, const void *right)
{
    return strcmp(*(char *const *)left, *(char *const *)right);
}

/* Rows of two hundred climbs, in no order of time; their texts may be anything. */
static void draw_rows(struct passo_row *row, uint64_t seed)
{
    struct passo_random random;
    passo_random_seed(&random, seed);
    for (uint32_t i = 0; i < ROWS; i++) {
        row[i] = draw_row(&random, i % OF_ONE_CLIMB + 1);
        const struct passo_row *first = &row[i - i % OF_ONE_CLIMB];
        const char **text[] = {&row[i].player, &row[i].session, &row[i].passage, &row[i].piece};
        const char *const of_first[] = {first->player, first->session, first->passage,
                                        first->piece};
        for (int j = 0; j < 4 && first != &row[i]; j++) {
            free((void *)(uintptr_t)*text[j]);
            *text[j] = strdup(of_first[j]);
        }
        if (first == &row[i]) { /* no two climbs are one */
            free((void *)(uintptr_t)row[i].session);
            row[i].session = calloc(1, 300);
            sprintf((char *)(uintptr_t)row[i].session, "%u %0*u", i, i % 400 == 0 ? 200 : 3, i);
        }
        passo_row_time(&row[i], row[i].time_ns,
                       offsets[passo_random_below(&random, sizeof offsets / sizeof offsets[0])]);
    }
}

static void write_rows(const char *path, const struct passo_row *row)
{
    struct passo_csv *csv;
    char fault[300];
    assert_int_equal(passo_csv_open(path, true, &csv, fault, sizeof fault), PASSO_OK);
    for (uint32_t i = 0; i < ROWS; i++)
        assert_int_equal(passo_csv_write(csv, &row[i]), PASSO_OK);
    assert_int_equal(passo_csv_close(csv), PASSO_OK);
}

/* The rows of a file as texts, sorted: each read and written anew, alone. */
static char **sorted_rows(const char *path)
{
    struct read_back *back = read_path(path);
    char **text = calloc(ROWS, sizeof *text);
    assert_int_equal(back->error, PASSO_OK);
    assert_int_equal(back->faults, 0);
    assert_int_equal(back->rows, ROWS);
    for (size_t i = 0; i < back->rows; i++) {
        struct passo_csv *csv;
        char fault[300];
        assert_int_equal(passo_csv_open(place("one.csv"), true, &csv, fault, sizeof fault),
                         PASSO_OK);
        assert_int_equal(passo_csv_write(csv, &back->row[i]), PASSO_OK);
        assert_int_equal(passo_csv_close(csv), PASSO_OK);
        text[i] = read_whole(place("one.csv"));
    }
    free_back(back);
    qsort(text, ROWS, sizeof *text, by_text);
    return text;
}

static void assert_same_rows(const char *one, const char *other)
{
    char path[2][100];
    snprintf(path[0], sizeof path[0], "%s", place(one));
    snprintf(path[1], sizeof path[1], "%s", place(other));
    char **left = sorted_rows(path[0]);
    char **right = sorted_rows(path[1]);
    for (size_t i = 0; i < ROWS; i++) {
        assert_string_equal(left[i], right[i]);
        free(left[i]);
        free(right[i]);
    }
    free(left);
    free(right);
}

static void there_and_back(void **state)
{
    (void)state;
    struct passo_row *row = calloc(ROWS, sizeof *row);
    draw_rows(row, 15);
    write_rows(place("drawn.csv"), row);
    struct passo_log *log = open_log("there.sqlite");
    struct passo_log *other = open_log("back.sqlite");
    struct taken taken = import_file(log, place("drawn.csv"), NULL);
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.added, ROWS);
    char *once = exported(log, false);
    assert_same_rows("drawn.csv", "export.csv");
    char *days = exported(log, true);
    put_file("once.csv", once);
    taken = import_file(log, place("once.csv"), NULL);
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.added + taken.result.corrected, 0);
    assert_int_equal(taken.result.known, ROWS);
    char *twice = exported(log, false);
    assert_string_equal(twice, once);
    taken = import_file(other, place("once.csv"), NULL);
    assert_int_equal(taken.result.added, ROWS);
    char *back = exported(other, false);
    assert_string_equal(back, once);
    char *days_back = exported(other, true);
    assert_true(strlen(days) > 1000 && strlen(days_back) == strlen(days));
    for (uint32_t i = 0; i < ROWS; i++)
        free_row(&row[i]);
    free(row);
    free(once);
    free(twice);
    free(back);
    free(days);
    free(days_back);
    passo_log_close(log);
    passo_log_close(other);
}

static const char march[] = ROW(DAY, "A.B.", "s1", "1", "88", "clean", "key")
    ROW(DAY, "A.B.", "s1", "2", "92", "miss", "key");

static void what_is_there_is_not_added_again(void **state)
{
    (void)state;
    struct passo_log *log = open_log("again.sqlite");
    struct taken taken = import_rows_of(log, march);
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.added, 2);
    /* The file has grown. */
    taken = import_rows_of(log, ROW(DAY, "A.B.", "s1", "1", "88", "clean", "key")
                                    ROW(DAY, "A.B.", "s1", "2", "92", "miss", "key")
                                        ROW(DAY, "A.B.", "s1", "3", "92", "clean", "key"));
    assert_int_equal(taken.result.known, 2);
    assert_int_equal(taken.result.added, 1);
    /* The same row twice in a file, and the same pass of another player. */
    taken = import_rows_of(log, ROW(DAY, "C.D.", "s1", "1", "88", "clean", "key")
                                    ROW(DAY, "C.D.", "s1", "1", "88", "clean", "key"));
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.added, 1);
    assert_int_equal(taken.result.known, 1);
    assert_string_equal(players_of(log), "A.B.;C.D.;");
    passo_log_close(log);
}

static void corrections_come_once(void **state)
{
    (void)state;
    struct passo_log *log = open_log("corrected.sqlite");
    static const char corrected[] = ROW(DAY, "A.B.", "s1", "2", "92", "clean", "changed");
    assert_int_equal(import_rows_of(log, march).error, PASSO_OK);
    struct taken taken = import_rows_of(log, corrected);
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.corrected, 1);
    char *text = exported(log, false);
    assert_has(text, "2,climb,whole,33-36,as written,quarter,92,104,clean,changed,");
    assert_null(strstr(text, ",miss,"));
    free(text);
    taken = import_rows_of(log, corrected);
    assert_int_equal(taken.result.corrected, 0);
    assert_int_equal(taken.result.known, 1);
    /* The file from before is taken in again: the correction holds. */
    taken = import_rows_of(log, march);
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.known, 2);
    text = exported(log, true);
    assert_has(text, ",clean,92,88.5,2,2,0,100.0,");
    free(text);
    passo_log_close(log);
}

/* As a climb writes it: the row, and a changed one behind it. */
static void a_file_with_both(void **state)
{
    (void)state;
    static const char both[] = ROW(DAY, "A.B.", "s1", "1", "88", "clean", "key")
        ROW(DAY, "A.B.", "s1", "2", "92", "miss", "key")
            ROW(DAY, "A.B.", "s1", "2", "92", "clean", "changed");
    struct passo_log *log = open_log("both.sqlite");
    struct passo_log *fresh = open_log("fresh.sqlite");
    assert_int_equal(import_rows_of(log, march).error, PASSO_OK);
    assert_int_equal(import_rows_of(log, both).result.corrected, 1);
    /* Not there at all: it is added as it now is. */
    assert_int_equal(import_rows_of(fresh, both).result.added, 2);
    assert_int_equal(import_rows_of(fresh, both).result.known, 2);
    char *text = exported(log, false);
    char *other = exported(fresh, false);
    assert_string_equal(text, other);
    assert_has(text, ",clean,changed,");
    free(text);
    free(other);
    passo_log_close(log);
    passo_log_close(fresh);
}

/* A climb that was cut short while a pass could still be marked. */
static void an_open_pass_is_completed(void **state)
{
    (void)state;
    struct passo_log *log = open_log("open.sqlite");
    char session[PASSO_SESSION_BYTES];
    const struct passo_log_climb climb = {.player = "A.B.",
                                          .passage = "march",
                                          .piece = "The Marrowby March",
                                          .setup = "",
                                          .session = "s1",
                                          .began_ns = 1764003600000000000,
                                          .offset_s = 3600};
    struct passo_row row = {.pass = 1,
                            .part = PASSO_PART_CLIMB,
                            .loop = "whole",
                            .bars = "33-36",
                            .variant = "as written",
                            .beat_unit = "quarter",
                            .tempo_mbpm = 88000,
                            .target_mbpm = 104000,
                            .marked_by = "",
                            .miss_bar = INT32_MIN,
                            .play_ns = 8000000000};
    const struct passo_ladder_event event = {.part = PASSO_PART_CLIMB};
    passo_row_time(&row, INT64_C(1795539600) * 1000000000 + 123456789, 3600);
    passo_log_begin(log, &climb, session);
    passo_log_played(log, &row, &event);
    assert_int_equal(passo_log_commit(log), PASSO_OK);
    /* 2026-11-24T18:00:00+01:00 by date -d @1795539600 */
    static const char closed[] = ROW(DAY, "A.B.", "s1", "1", "88", "clean", "key");
    struct taken taken = import_rows_of(log, closed);
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.corrected, 1);
    assert_int_equal(import_rows_of(log, closed).result.known, 1);
    char *text = exported(log, false);
    assert_has(text, closed);
    free(text);
    passo_log_close(log);
}

static void whose_passes_they_are(void **state)
{
    (void)state;
    struct passo_log *log = open_log("whose.sqlite");
    char text[2000];
    sprintf(text, "%s\r\n%s%s", HEADER, ROW(DAY, "", "s1", "1", "88", "clean", "key"),
            ROW(DAY, "X.Y.", "s1", "2", "88", "clean", "key"));
    put_file("nobody.csv", text);
    struct taken taken = import_file(log, place("nobody.csv"), NULL);
    assert_int_equal(taken.result.nameless, 1);
    assert_string_equal(players_of(log), ";X.Y.;");
    taken = import_file(log, place("nobody.csv"), "=A.B.");
    assert_int_equal(taken.result.added, 2);
    assert_int_equal(taken.result.nameless, 0);
    /* Rows of two players are one player's now, so the later correction is the only one. */
    put_file("two.csv", HEADER "\r\n" ROW(DAY, "X.Y.", "s3", "1", "88", "clean", "changed")
                            ROW(DAY, "", "s3", "1", "88", "void", "changed"));
    taken = import_file(log, place("two.csv"), "=A.B.");
    assert_int_equal(taken.result.added, 1);
    taken = import_file(log, place("two.csv"), "=A.B.");
    assert_int_equal(taken.result.corrected, 0);
    assert_int_equal(taken.result.known, 1);
    /* A file with nothing but a header. */
    put_file("header.csv", HEADER "\r\n");
    taken = import_file(log, place("header.csv"), "C.D.");
    assert_int_equal(taken.error, PASSO_OK);
    assert_int_equal(taken.result.passes, 0);
    assert_string_equal(players_of(log), ";X.Y.;=A.B.;C.D.;");
    passo_log_close(log);
}

/* A pass an octave away makes no level. */
static void at_pitch_or_not(void **state)
{
    (void)state;
    struct passo_log *log = open_log("pitch.sqlite");
    static const char row[] =
        DAY ",A.B.,s1,march,,1,climb,whole,,%s,quarter,88,104,clean,key,,1,raised,96,8,8,20\r\n";
    char text[600];
    sprintf(text, row, "Octave down");
    assert_int_equal(import_rows_of(log, text).result.added, 1);
    char *days = exported(log, true);
    assert_has(days, "quarter,104,clean,,,1,1,0,100.0,0.1,stopped\r\n");
    free(days);
    sprintf(text, row, "as written");
    strstr(text, "s1")[1] = '2';
    assert_int_equal(import_rows_of(log, text).result.added, 1);
    days = exported(log, true);
    assert_has(days, "2026-11-24,A.B.,march,,quarter,104,clean,88,84.6,2,2,0,100.0,0.3,stopped\r\n");
    free(days);
    passo_log_close(log);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(what_is_there_is_not_added_again),
        cmocka_unit_test(corrections_come_once),
        cmocka_unit_test(a_file_with_both),
        cmocka_unit_test(an_open_pass_is_completed),
        cmocka_unit_test(whose_passes_they_are),
        cmocka_unit_test(at_pitch_or_not),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
