/* The session CSV: RFC 4180 (October 2005) quoting, cells that a spreadsheet would run, rows that
 * wait while the disk is full. */
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>
#include <cmocka.h>
#include <passo/random.h>
#include "store/csv_line.h"

static const char header[] =
    "time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,"
    "marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s\r\n";

static struct passo_row row(uint32_t pass, const char *title)
{
    struct passo_row row = {.player = "K. Aldous",
                            .session = "20251125T073005",
                            .passage = title,
                            .piece = "The Marrowby March",
                            .pass = pass,
                            .part = PASSO_PART_CLIMB,
                            .loop = "whole",
                            .bars = "33-36",
                            .variant = "octave down",
                            .off_pitch = true,
                            .beat_unit = "dotted quarter",
                            .tempo_mbpm = 63700,
                            .target_mbpm = 96000,
                            .mark = PASSO_MARK_MISS,
                            .marked_by = "key",
                            .miss_bar = 35,
                            .clean_in_a_row = 0,
                            .move = PASSO_MOVE_HELD,
                            .next_mbpm = 168540,
                            .play_ns = 12345678901,
                            .rest_ns = 6000000000,
                            .elapsed_ns = 429442499999};
    passo_row_time_here(&row, INT64_C(1764055805) * 1000000000);
    return row;
}

static char *read_file(const char *path)
{
    char *text = calloc(1, 65536);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    assert_true(fread(text, 1, 65535, file) > 0);
    fclose(file);
    return text;
}

static void a_row_to_the_letter(void **state)
{
    (void)state;
    char path[] = "/tmp/passo-csv-XXXXXX";
    char fault[256];
    struct passo_csv *csv;
    setenv("TZ", "UTC-1", 1); /* an hour east */
    tzset();
    close(mkstemp(path));
    assert_int_equal(passo_csv_open(path, false, &csv, fault, sizeof fault), PASSO_ERR_EXISTS);
    assert_non_null(strstr(fault, path));
    assert_non_null(strstr(fault, "--force"));
    assert_int_equal(passo_csv_open(path, true, &csv, fault, sizeof fault), PASSO_OK);
    struct passo_row one = row(7, "=2+5, \"run\"");
    assert_int_equal(passo_csv_write(csv, &one), PASSO_OK);
    one.miss_bar = INT32_MIN;
    one.next_mbpm = 0;
    one.passage = "plain";
    assert_int_equal(passo_csv_write(csv, &one), PASSO_OK);
    /* Flushed after each row: it is in the file before the close. */
    char *text = read_file(path);
    assert_int_equal(strncmp(text, header, sizeof header - 1), 0);
    assert_string_equal(
        text + sizeof header - 1,
        "2025-11-25T08:30:05+01:00,K. Aldous,20251125T073005,\"'=2+5, \"\"run\"\"\",The Marrowby "
        "March,7,climb,whole,33-36,octave down,dotted quarter,63.7,96,miss,key,35,0,held,168.54,"
        "12.346,6.000,429.442\r\n"
        "2025-11-25T08:30:05+01:00,K. Aldous,20251125T073005,plain,The Marrowby "
        "March,7,climb,whole,33-36,octave down,dotted quarter,63.7,96,miss,key,,0,held,,"
        "12.346,6.000,429.442\r\n");
    free(text);
    assert_int_equal(passo_csv_close(csv), PASSO_OK);
    unlink(path);
}

/* The C library says what a time and a decimal are; rows are put together without it. */
static void as_the_c_library_writes_them(void **state)
{
    (void)state;
    static const int32_t offsets[] = {0, 3600, 7200, -12600, 20700, 50400, -43200};
    struct passo_random random;
    passo_random_seed(&random, 4180);
    for (int i = 0; i < 20000; i++) {
        struct csv_bytes bytes = {0};
        struct passo_row one = row((uint32_t)passo_random_next(&random), "plain");
        char wanted[400];
        char when[40];
        struct tm there;
        int32_t offset_s = offsets[passo_random_below(&random, 7)];
        /* From 1700 to 2243, also within a second before 1970. */
        int64_t seconds = (int64_t)passo_random_below(&random, 4294967295u) * 4 - 8520336000;
        passo_row_time(&one, seconds * 1000000000 + passo_random_below(&random, 1000000000),
                       offset_s);
        one.tempo_mbpm = 5000 + (int32_t)passo_random_below(&random, 995001);
        one.next_mbpm = 0;
        one.elapsed_ns = passo_random_below(&random, 4000000000u) * INT64_C(1000000);
        time_t shifted = (time_t)(seconds + offset_s);
        strftime(when, sizeof when, "%Y-%m-%dT%H:%M:%S", gmtime_r(&shifted, &there));
        snprintf(wanted, sizeof wanted,
                 "%s%c%02d:%02d,K. Aldous,20251125T073005,plain,The Marrowby March,%u,climb,whole,"
                 "33-36,octave down,dotted quarter,%g,96,miss,key,35,0,held,,12.346,6.000,%.3f\r\n",
                 when, offset_s < 0 ? '-' : '+', abs(offset_s) / 3600, abs(offset_s) / 60 % 60,
                 one.pass, one.tempo_mbpm / 1000.0, (double)one.elapsed_ns / 1e9);
        csv_line_row(&bytes, &one);
        assert_int_equal(bytes.used, strlen(wanted));
        assert_memory_equal(bytes.bytes, wanted, bytes.used);
        free(bytes.bytes);
    }
}

static void cells(void **state)
{
    (void)state;
    static const char *const cell[][2] = {
        {"", ""},
        {"plain", "plain"},
        {"a,b", "\"a,b\""},
        {"say \"ah\"", "\"say \"\"ah\"\"\""},
        {"two\nlines", "\"two\nlines\""},
        {"=1+1", "\"'=1+1\""},
        {"+1", "\"'+1\""},
        {"-1", "\"'-1\""},
        {"@SUM(A1)", "\"'@SUM(A1)\""},
        {"\tcmd", "\"'\tcmd\""},
        {"\r=1", "\"'\r=1\""},
        {"'quoted", "\"''quoted\""},
        {"a=b", "a=b"},
        {"1. Allegro", "1. Allegro"},
        {" leading", "\" leading\""},
    };
    char out[64];
    for (size_t i = 0; i < sizeof cell / sizeof cell[0]; i++)
        assert_string_equal(passo_csv_cell(cell[i][0], out, sizeof out), cell[i][1]);
}

/* A limit on the file's size stands in for a full disk: rows wait, none is lost or cut, and the
 * order is kept when there is room again. */
static void rows_wait_for_room(void **state)
{
    (void)state;
    char path[] = "/tmp/passo-csv-XXXXXX";
    char fault[256];
    struct passo_csv *csv;
    struct rlimit before;
    close(mkstemp(path));
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(passo_csv_open(path, true, &csv, fault, sizeof fault), PASSO_OK);
    struct passo_row one = row(1, "The run up to the trio");
    assert_int_equal(passo_csv_write(csv, &one), PASSO_OK);
    getrlimit(RLIMIT_FSIZE, &before);
    struct rlimit full = {.rlim_cur = 500, .rlim_max = before.rlim_max}; /* in mid-row */
    setrlimit(RLIMIT_FSIZE, &full);
    for (one.pass = 2; one.pass <= 4; one.pass++)
        assert_int_equal(passo_csv_write(csv, &one), PASSO_ERR_FILE);
    setrlimit(RLIMIT_FSIZE, &before);
    assert_int_equal(passo_csv_write(csv, &one), PASSO_OK);
    char *text = read_file(path);
    char *line = strchr(text, '\n') + 1;
    for (int pass = 1; pass <= 5; pass++) {
        char wanted[40];
        snprintf(wanted, sizeof wanted, "The Marrowby March,%d,climb", pass);
        char *end = strstr(line, "\r\n");
        assert_non_null(end);
        assert_non_null(strstr(line, wanted));
        assert_true(strstr(line, wanted) < end);
        line = end + 2;
    }
    assert_int_equal(*line, 0);
    free(text);
    assert_int_equal(passo_csv_close(csv), PASSO_OK);
    unlink(path);
}

static void a_disk_that_stays_full_is_told(void **state)
{
    (void)state;
    char fault[256];
    struct passo_csv *csv;
    assert_int_equal(passo_csv_open("/dev/full", true, &csv, fault, sizeof fault), PASSO_ERR_FILE);
    assert_non_null(strstr(fault, "/dev/full"));
    assert_int_equal(passo_csv_open("/nowhere/at/all.csv", true, &csv, fault, sizeof fault),
                     PASSO_ERR_FILE);
    assert_non_null(strstr(fault, "/nowhere/at/all.csv"));
    assert_int_equal(passo_csv_close(NULL), PASSO_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_to_the_letter),
        cmocka_unit_test(as_the_c_library_writes_them),
        cmocka_unit_test(cells),
        cmocka_unit_test(rows_wait_for_room),
        cmocka_unit_test(a_disk_that_stays_full_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
