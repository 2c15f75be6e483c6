/* What earlier days gave of a passage. Session 8 of the trade's notes (trade.md section 4) is the
 * student's ten days; the rest are rows by hand. */
#include "store/csv_tools.h"

#include <time.h>
#include "store/day.h"
#include "store/past_tools.h"

#define SHORT                                                                                      \
    "time,player,session,passage,piece,pass,part,loop,variant,beat_unit,tempo,mark,marked_by\n"

/* The log of these bytes. */
static struct passo_past_log past_of(const char *text, const struct passo_past_wish *wanted)
{
    struct passo_past_log log;
    char fault[256];
    char *path = write_file(text, strlen(text));
    assert_int_equal(passo_past_read(path, wanted, NULL, &log, fault, sizeof fault), PASSO_OK);
    unlink(path);
    free(path);
    return log;
}

/* Days of the Gregorian calendar, against timegm() and against the days that there are. */
static void days_are_counted(void **state)
{
    (void)state;
    int64_t next = passo_day_count(16780101);
    for (int32_t day = 16780101; day <= 22611231; day++) {
        if (!passo_day_exists(day))
            continue;
        struct tm date = {
            .tm_year = day / 10000 - 1900, .tm_mon = day / 100 % 100 - 1, .tm_mday = day % 100};
        assert_int_equal(passo_day_count(day), next++);
        assert_int_equal(passo_day_count(day) * 86400, timegm(&date));
        assert_int_equal(passo_day_of(next - 1), day);
    }
    static const int32_t none[] = {20260229, 19000229, 20261301, 20260001, 20260431, 20261100, 0};
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++)
        assert_false(passo_day_exists(none[i]));
    assert_true(passo_day_exists(20240229) && passo_day_exists(20000229));
}

/* The ten days up to a day, a day's best clean and a miss above it; rows in the file newest last.
 */
static void write_days(char *text, int today)
{
    static const struct {
        int day;
        int best;
    } days[] = {{1, 72}, {2, 80}, {3, 84}, {6, 80}, {7, 88}, {8, 94}, {9, 98}, {10, 104}};
    strcpy(text, SHORT);
    for (size_t i = 0; i < sizeof days / sizeof days[0] && days[i].day < today; i++) {
        for (int pass = 1; pass <= 3; pass++) {
            int tempo = pass == 1 ? 104 : pass == 2 ? days[i].best : days[i].best + 2;
            const char *mark = pass == 2 || (pass == 1 && days[i].day == 10) ? "clean" : "miss";
            sprintf(text + strlen(text),
                    "2026-11-%02dT19:3%d:00+01:00,,s%d,march,,%d,%s,whole,as "
                    "written,quarter,%d,%s,key\n",
                    days[i].day, pass, days[i].day, pass, pass == 1 ? "cold" : "climb", tempo,
                    mark);
        }
    }
}

static void ten_days_of_a_student(void **state)
{
    (void)state;
    static const struct {
        int day;
        int best; /* of the last day with practice */
        int missed;
    } days[] = {{1, 0, 0},  {2, 72, 0}, {3, 80, 0}, {4, 84, 0},  {5, 84, 1},  {6, 84, 2},
                {7, 80, 0}, {8, 88, 0}, {9, 94, 0}, {10, 98, 0}, {11, 104, 0}};
    char text[8192];
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        struct passo_past_wish wanted = wish(20261100 + days[i].day);
        write_days(text, days[i].day);
        struct passo_past_log log = past_of(text, &wanted);
        assert_int_equal(best(&log, "whole", "as written"), days[i].best * 1000);
        assert_int_equal(log.missed, days[i].missed);
        passo_past_deinit(&log);
    }
}

static void the_last_day_alone_counts(void **state)
{
    (void)state;
    const char *text =
        SHORT "2026-11-23T20:00:00+01:00,,a,march,,1,climb,whole,as written,quarter,96,clean,key\n"
              "2026-11-24T00:10:00+01:00,,b,march,,1,climb,1-2,low,quarter,70,clean,key\n"
              "2026-11-24T00:11:00+01:00,,b,march,,2,climb,1-2,low,quarter,76.5,clean,assumed\n"
              "2026-11-24T00:12:00+01:00,,b,march,,3,climb,1-2,as written,quarter,90,miss,key\n"
              "2026-11-24T00:13:00+01:00,,b,march,,4,over,whole,as written,quarter,110,clean,key\n"
              "2026-11-24T00:14:00+01:00,,b,march,,5,anchor,3-4,low,quarter,60,clean,key\n"
              "2026-11-24T00:15:00+01:00,,b,march,,6,easy,3-4,low,quarter,60,clean,key\n"
              "2026-11-24T00:16:00+01:00,,b,march,,7,visit,3-4,slurred,quarter,64,clean,key\n"
              "2026-11-24T00:17:00+01:00,,b,march,,8,check,3-4,dotted,quarter,64,clean,key\n"
              "2026-11-24T00:18:00+01:00,,b,march,,9,close,3-4,tongued,quarter,66,clean,key\n"
              "2026-11-24T00:19:00+01:00,,b,march,,10,context,run,as written,quarter,68,clean,key\n"
              "2026-11-24T00:20:00+01:00,,b,march,,11,climb,1-2,low,quarter,99,void,key\n"
              "2026-11-24T00:21:00+01:00,,b,waltz,,12,climb,1-2,low,quarter,99,clean,key\n"
              "2026-11-25T00:20:00+01:00,,c,march,,1,climb,1-2,low,quarter,99,void,key\n"
              "2026-11-25T00:21:00+01:00,,c,march,,2,check,1-2,low,quarter,99,clean,key\n"
              "2026-11-28T00:21:00+01:00,,d,march,,1,climb,1-2,low,quarter,99,clean,key\n"
              "2026-11-22T20:00:00+01:00,,a,march,,1,climb,whole,low,quarter,97,clean,key\n";
    struct passo_past_wish wanted = wish(20261127);
    struct passo_past_log log = past_of(text, &wanted);
    assert_int_equal(log.last_day, 20261124);
    assert_int_equal(log.missed, 2);
    assert_int_equal(log.pasts, 5);
    assert_int_equal(best(&log, "1-2", "low"), 76500);
    assert_int_equal(best(&log, "whole", "as written"), 104000); /* not above the target */
    assert_int_equal(best(&log, "3-4", "slurred"), 64000);
    assert_int_equal(best(&log, "3-4", "tongued"), 66000);
    assert_int_equal(best(&log, "run", "as written"), 68000);
    assert_int_equal(log.days, 3);
    assert_int_equal(log.passes, 9);
    passo_past_deinit(&log);
    /* A second climb on one day has that day for its past. */
    wanted.today = 20261124;
    log = past_of(text, &wanted);
    assert_int_equal(log.last_day, 20261124);
    assert_int_equal(log.missed, 0);
    passo_past_deinit(&log);
    wanted.today = 20261121;
    log = past_of(text, &wanted);
    assert_int_equal(log.last_day + (int)log.pasts + log.missed + (int)log.groups, 0);
    passo_past_deinit(&log);
}

static void marks_at_each_tempo(void **state)
{
    (void)state;
    const char *text = SHORT
        "2026-10-01T20:00:00+02:00,AB,a,march,one,1,climb,whole,as written,quarter,96,clean,key\n"
        "2026-10-02T20:00:00+02:00,AB,b,march,one,1,climb,whole,as written,eighth,192,miss,key\n"
        "2026-10-02T20:01:00+02:00,CD,b,march,one,2,climb,whole,as written,quarter,96,miss,key\n"
        "2026-10-02T20:02:00+02:00,,b,march,one,3,climb,whole,as written,dotted "
        "quarter,63.7,clean,key\n"
        "2026-10-02T20:03:00+02:00,AB,b,march,two,4,climb,whole,as written,quarter,80,clean,key\n"
        "2026-10-02T20:04:00+02:00,AB,b,march,one,5,climb,whole,as "
        "written,quarter,80,unmarked,\n"
        "2026-10-02T20:04:00+02:00,AB,b,march,one,6,climb,whole,as written,quarter,88,miss,key\n"
        "2026-10-02T20:04:00+02:00,AB,b,march,one,6,climb,whole,as "
        "written,quarter,88,clean,changed\n";
    struct passo_past_wish wanted = wish(20261127);
    wanted.piece = "one";
    wanted.player = "AB";
    struct passo_past_log log = past_of(text, &wanted);
    assert_int_equal(log.days, 2);
    assert_int_equal(log.passes, 4);
    assert_int_equal(log.groups, 3);
    const double day_before = pow(0.5, 1.0 / 7);
    const struct {
        double bpm;
        double n;
        double y;
    } groups[] = {{88, 1, 1}, {95.55, 1, 1}, {96, 1 + day_before, day_before}};
    for (size_t i = 0; i < 3; i++) {
        near(exp(log.group[i].x), groups[i].bpm, 1e-9);
        near(log.group[i].n, groups[i].n, 1e-12);
        near(log.group[i].y, groups[i].y, 1e-12);
    }
    assert_int_equal(best(&log, "whole", "as written"), 95550);
    passo_past_deinit(&log);
    /* Into the dotted quarter: 96 / 1.5 = 64, 88 / 1.5 = 58.667. */
    wanted.beat = (struct passo_ratio){3, 8};
    log = past_of(text, &wanted);
    assert_int_equal(best(&log, "whole", "as written"), 63700);
    assert_true(fabs(exp(log.group[0].x) - 88 / 1.5) < 1e-9);
    passo_past_deinit(&log);
}

/* A week is a half, whatever comes first; a day with practice that shows nothing (an anchor) counts
 * as the last one too, a void pass, a later day and another passage do not. */
static void later_days_weigh_more(void **state)
{
    (void)state;
    static const char *const rows[] = {
        "2026-11-01T20:00:00Z,,a,march,,1,climb,whole,as written,quarter,80,clean,key\n",
        "2026-11-08T20:00:00Z,,b,march,,1,climb,whole,as written,quarter,80,miss,key\n",
        "2026-11-15T20:00:00Z,,c,march,,1,climb,whole,as written,quarter,80,clean,key\n",
        "2026-11-15T20:01:00Z,,c,march,,2,climb,whole,as written,quarter,90,miss,key\n",
        "2026-11-22T20:00:00Z,,d,march,,1,anchor,whole,as written,quarter,60,clean,key\n",
        "2026-11-23T20:00:00Z,,e,march,,1,climb,whole,as written,quarter,80,void,key\n",
        "2026-11-24T20:00:00Z,,f,waltz,,1,climb,whole,as written,quarter,80,clean,key\n",
        "2026-11-30T20:00:00Z,,g,march,,1,climb,whole,as written,quarter,80,clean,key\n",
    };
    enum { ROWS = sizeof rows / sizeof *rows };
    struct passo_past_wish wanted = wish(20261127);
    for (size_t step = 1; step < ROWS; step += 2) { /* 8 rows: each step is an order of its own */
        char text[2048] = SHORT;
        for (size_t i = 0; i < ROWS; i++)
            strcat(text, rows[(i * step + step) % ROWS]);
        struct passo_past_log log = past_of(text, &wanted);
        assert_int_equal(log.last_day, 20261122);
        assert_int_equal(log.passes, 4);
        assert_int_equal(log.days, 3);
        assert_int_equal(log.pasts, 0);
        assert_int_equal(log.groups, 2);
        near(log.group[0].n, 0.125 + 0.25 + 0.5, 1e-15);
        near(log.group[0].y, 0.125 + 0.5, 1e-15);
        near(log.group[1].n, 0.5, 1e-15);
        near(log.group[1].y, 0, 0);
        passo_past_deinit(&log);
    }
    /* Years later nothing of it is left, and nothing breaks. */
    char text[1024] = SHORT "1951-11-01T20:00:00Z,,a,march,,1,climb,whole,as "
                            "written,quarter,80,clean,key\n";
    strcat(text, rows[4]);
    struct passo_past_log log = past_of(text, &wanted);
    near(log.group[0].n, 0, 0);
    assert_int_equal(log.passes, 1);
    passo_past_deinit(&log);
}

/* A rung counts as won by what its row says: raised, the target won, or a clean pass from which
 * `lift` goes back; on any day, and no higher than the target. */
static void the_best_rung_won_of_any_day(void **state)
{
    (void)state;
    static const struct {
        const char *row; /* part, tempo, mark, move */
        int32_t won_mbpm;
    } rows[] = {{"climb,80,clean,held", 0},         {"climb,80,clean,raised", 80000},
                {"visit,82.5,clean,raised", 82500}, {"climb,90,miss,dropped", 82500},
                {"climb,84,clean,dropped", 84000},  {"over,120,clean,", 84000},
                {"anchor,100,clean,", 84000},       {"climb,83,clean,raised", 84000},
                {"climb,104,clean,won", 104000},    {"climb,300,clean,raised", 104000}};
    enum { ROWS = sizeof rows / sizeof *rows };
    struct passo_past_wish wanted = wish(20261127);
    char text[4096] = "time,session,passage,pass,part,tempo,mark,move,loop,variant,beat_unit\n";
    for (int i = 0; i < ROWS; i++) {
        sprintf(text + strlen(text),
                "2026-11-%02dT20:00:00Z,a,march,%d,%s,whole,as written,quarter\n", i + 1, i + 1,
                rows[i].row);
        struct passo_past_log log = past_of(text, &wanted);
        assert_int_equal(log.best_won_mbpm, rows[i].won_mbpm);
        passo_past_deinit(&log);
    }
}

static void many_tempi_join_the_nearest(void **state)
{
    (void)state;
    char *text = calloc(1, 400000);
    size_t used = (size_t)sprintf(text, SHORT);
    enum { TEMPI = 1500 };
    for (int i = 0; i < TEMPI; i++)
        used += (size_t)sprintf(
            text + used,
            "2026-10-01T20:00:00Z,,a,march,,%d,climb,whole,as written,quarter,%d.5,miss,key\n",
            i + 1, 5 + i * 7 % 900);
    struct passo_past_wish wanted = wish(20261127);
    struct passo_past_log log = past_of(text, &wanted);
    double played = 0;
    for (size_t i = 0; i < log.groups; i++) {
        played += log.group[i].n;
        assert_true(i == 0 || log.group[i].x > log.group[i - 1].x);
    }
    assert_int_equal(log.groups, 900);
    assert_int_equal((int)played, TEMPI);
    passo_past_deinit(&log);
    for (int i = 0; i < TEMPI; i++)
        used += (size_t)sprintf(
            text + used,
            "2026-10-01T20:00:00Z,,a,march,,%d,climb,whole,as written,quarter,%d.7,clean,key\n",
            i + 1, 5 + i * 7 % 900);
    log = past_of(text, &wanted);
    played = 0;
    for (size_t i = 0; i < log.groups; i++)
        played += log.group[i].n;
    assert_int_equal(log.groups, PASSO_SKILL_GROUPS_MAX);
    assert_int_equal((int)played, 2 * TEMPI);
    passo_past_deinit(&log);
    free(text);
}

static void faults_are_passed_on(void **state)
{
    (void)state;
    const char *text =
        SHORT "2026-10-01T20:00:00Z,,a,march,,1,climb,whole,as written,hemidemi,96,clean,key\n"
              "2026-10-01T20:00:00Z,,a,waltz,,1,climb,whole,as written,hemidemi,96,clean,key\n"
              "2026-10-01T20:00:00Z,,a,march,,2,climb\n"
              "2026-10-01T20:00:00Z,,a,march,,3,climb,whole,as written,quarter,96,clean,key\n";
    struct read_back *back = calloc(1, sizeof *back);
    struct passo_csv_taker taker = {.user = back, .fault = keep_fault};
    struct passo_past_wish wanted = wish(20261127);
    struct passo_past_log log;
    char *path = write_file(text, strlen(text));
    assert_int_equal(passo_past_read(path, &wanted, &taker, &log, back->why, sizeof back->why),
                     PASSO_OK);
    assert_int_equal(back->faults, 2);
    assert_non_null(strstr(back->fault[0], "line 2: the beat unit"));
    assert_non_null(strstr(back->fault[1], "line 4: torn"));
    assert_int_equal(log.passes, 1);
    passo_past_deinit(&log);
    unlink(path);
    assert_int_equal(passo_past_read(path, &wanted, &taker, &log, back->why, sizeof back->why),
                     PASSO_ERR_FILE);
    assert_null(log.past);
    assert_non_null(strstr(back->why, "no such file"));
    passo_past_deinit(&log);
    free(path);
    free_back(back);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_are_counted),
        cmocka_unit_test(ten_days_of_a_student),
        cmocka_unit_test(the_last_day_alone_counts),
        cmocka_unit_test(marks_at_each_tempo),
        cmocka_unit_test(later_days_weigh_more),
        cmocka_unit_test(the_best_rung_won_of_any_day),
        cmocka_unit_test(many_tempi_join_the_nearest),
        cmocka_unit_test(faults_are_passed_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
