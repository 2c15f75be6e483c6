/* The session CSV read back: what passo_csv_write() wrote, field by field, over drawn rows; the
 * same after Python's csv module has written the file anew in another order of columns; and what
 * RFC 4180 (October 2005) leaves open. */
#include "store/csv_draw.h"

#include <time.h>

#define PYTHON "/usr/bin/python3"

static void assert_same(const struct passo_row *read, const struct passo_row *wrote)
{
    assert_int_equal(read->time_ns, wrote->time_ns);
    assert_string_equal(read->player, wrote->player);
    assert_string_equal(read->session, wrote->session);
    assert_string_equal(read->passage, wrote->passage);
    assert_string_equal(read->piece, wrote->piece);
    assert_int_equal(read->pass, wrote->pass);
    assert_int_equal(read->part, wrote->part);
    assert_string_equal(read->loop, wrote->loop);
    assert_string_equal(read->bars, wrote->bars);
    assert_string_equal(read->variant, wrote->variant);
    assert_string_equal(read->beat_unit, wrote->beat_unit);
    assert_int_equal(read->tempo_mbpm, wrote->tempo_mbpm);
    assert_int_equal(read->target_mbpm, wrote->target_mbpm);
    assert_int_equal(read->mark, wrote->mark);
    assert_string_equal(read->marked_by, wrote->marked_by);
    assert_int_equal(read->miss_bar, wrote->miss_bar);
    assert_int_equal(read->clean_in_a_row, wrote->clean_in_a_row);
    assert_int_equal(read->move, wrote->move);
    assert_int_equal(read->next_mbpm, wrote->next_mbpm);
    assert_int_equal(read->play_ns, wrote->play_ns);
    assert_int_equal(read->rest_ns, wrote->rest_ns);
    assert_int_equal(read->elapsed_ns, wrote->elapsed_ns);
}

enum { DRAWN = 1500 };

/* Writes drawn rows under a zone and gives them back. */
static char *write_drawn(struct passo_row *row, const char *zone)
{
    char *path = strdup("/tmp/passo-drawn-XXXXXX");
    char fault[256];
    struct passo_random random;
    struct passo_csv *csv;
    setenv("TZ", zone, 1);
    tzset();
    close(mkstemp(path));
    passo_random_seed(&random, 2026);
    assert_int_equal(passo_csv_open(path, true, &csv, fault, sizeof fault), PASSO_OK);
    for (uint32_t i = 0; i < DRAWN; i++) {
        row[i] = draw_row(&random, i + 1);
        assert_int_equal(passo_csv_write(csv, &row[i]), PASSO_OK);
    }
    assert_int_equal(passo_csv_close(csv), PASSO_OK);
    return path;
}

/* The local day of a row, by the C library. */
static int32_t local_day(int64_t time_ns)
{
    time_t seconds = (time_t)(time_ns / 1000000000);
    struct tm local;
    localtime_r(&seconds, &local);
    return (local.tm_year + 1900) * 10000 + (local.tm_mon + 1) * 100 + local.tm_mday;
}

static void assert_drawn(const struct read_back *back, const struct passo_row *row)
{
    assert_int_equal(back->error, PASSO_OK);
    assert_int_equal(back->faults, 0);
    assert_int_equal(back->rows, DRAWN);
    for (size_t i = 0; i < DRAWN; i++) {
        assert_same(&back->row[i], &row[i]);
        assert_int_equal(back->row[i].day, local_day(row[i].time_ns));
        assert_int_equal(back->row[i].extra, row[i].extra);
    }
}

static void what_was_written_is_read_back(void **state)
{
    (void)state;
    static const char *const zones[] = {"UTC0", "UTC-5:45", "UTC+9:30",
                                        "CET-1CEST,M3.5.0,M10.5.0/3"};
    static struct passo_row row[DRAWN];
    for (size_t i = 0; i < sizeof zones / sizeof zones[0]; i++) {
        char *path = write_drawn(row, zones[i]);
        struct read_back *back = read_path(path);
        assert_drawn(back, row);
        free_back(back);
        for (size_t j = 0; j < DRAWN; j++)
            free_row(&row[j]);
        unlink(path);
        free(path);
    }
}

/* Python's csv module reads our file and writes another: columns backwards, one more between, all
 * cells quoted, line feeds alone. */
static void a_second_reader_agrees(void **state)
{
    (void)state;
    static struct passo_row row[DRAWN];
    char command[1024];
    char again[] = "/tmp/passo-again-XXXXXX";
    if (access(PYTHON, X_OK) != 0)
        skip();
    char *path = write_drawn(row, "UTC-1");
    close(mkstemp(again));
    snprintf(command, sizeof command,
             PYTHON
             " -c 'import csv\n"
             "rows = list(csv.reader(open(\"%s\", newline=\"\", encoding=\"utf-8\")))\n"
             "assert all(len(row) == 22 for row in rows) and len(rows) == %d\n"
             "out = csv.writer(open(\"%s\", \"w\", newline=\"\", encoding=\"utf-8-sig\"),\n"
             "                 quoting=csv.QUOTE_ALL, lineterminator=\"\\n\")\n"
             "for at, row in enumerate(rows):\n"
             "    out.writerow(row[:10:-1] + [at and \"a, b\\n\" or \"remark\"] + row[10::-1])'",
             path, DRAWN + 1, again);
    assert_int_equal(system(command), 0);
    struct read_back *back = read_path(again);
    assert_drawn(back, row);
    free_back(back);
    for (size_t i = 0; i < DRAWN; i++)
        free_row(&row[i]);
    unlink(again);
    unlink(path);
    free(path);
}

#define PLAIN(pass)                                                                                \
    "2026-11-24T19:30:05+01:00,s,march," pass ",climb,whole,as written,quarter,84,clean"
#define SHORT "time,session,passage,pass,part,loop,variant,beat_unit,tempo,mark"

static void any_line_end_will_do(void **state)
{
    (void)state;
    static const char *const files[] = {
        SHORT "\r\n" PLAIN("1") "\r\n" PLAIN("2") "\r\n",
        SHORT "\n" PLAIN("1") "\n" PLAIN("2"),
        SHORT "\r" PLAIN("1") "\r" PLAIN("2") "\r",
        "\xEF\xBB\xBF" SHORT "\n\n" PLAIN("1") "\r\n\r\n" PLAIN("2") "\n\n",
        SHORT "\n" PLAIN("1") "\n" SHORT "\n" PLAIN("2") "\n",
    };
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        struct read_back *back = read_text(files[i]);
        assert_int_equal(back->error, PASSO_OK);
        assert_int_equal(back->faults, 0);
        assert_int_equal(back->rows, 2);
        assert_int_equal(back->row[1].pass, 2);
        assert_int_equal(back->row[1].day, 20261124);
        assert_int_equal(back->row[1].offset_s, 3600);
        /* 24 November 2026 18:30:05 UTC, by date -d ... +%s */
        assert_int_equal(back->row[1].time_ns, INT64_C(1795545005000000000));
        assert_string_equal(back->row[1].piece, "");
        assert_int_equal(back->row[1].miss_bar, INT32_MIN);
        free_back(back);
    }
}

static void columns_and_words(void **state)
{
    (void)state;
    struct read_back *back = read_text(
        "mark,remark,Tempo,beat_unit,variant,loop,part,pass,passage,session,time,move\n"
        "miss,\"it\nbroke\",63.7,eighth,as written,whole,visit,7,\"''march\",s,2026-02-28 "
        "23:59:60.5Z,\n"
        "void,,5,eighth,as written,whole,check,8,'march,s,2024-02-29T00:00:00-0930,harder\n");
    assert_int_equal(back->faults, 0);
    assert_int_equal(back->rows, 2);
    assert_int_equal(back->row[0].extra, PASSO_EXTRA_VISIT);
    assert_int_equal(back->row[0].part, PASSO_PART_COUNT);
    assert_int_equal(back->row[0].tempo_mbpm, 63700);
    assert_int_equal(back->row[0].time_ns % 1000000000, 500000000);
    assert_string_equal(back->row[0].passage, "'march");
    assert_int_equal(back->row[0].line, 2);
    assert_int_equal(back->row[1].line, 4);
    assert_int_equal(back->row[1].extra, PASSO_EXTRA_CHECK);
    assert_int_equal(back->row[1].offset_s, -34200);
    assert_int_equal(back->row[1].move, PASSO_MOVE_HARDER);
    /* An apostrophe that we did not put there stays. */
    assert_string_equal(back->row[1].passage, "'march");
    free_back(back);
}

static void a_changed_row_replaces_the_earlier_one(void **state)
{
    (void)state;
    const char *head =
        "time,session,passage,pass,part,loop,variant,beat_unit,tempo,mark,marked_by\n";
    static const char *const rows[] = {
        "s1,march,1,climb,whole,as written,quarter,60,clean,key",    /* replaced by the last */
        "s1,march,2,climb,whole,as written,quarter,64,miss,changed", /* the first of its pass */
        "s2,march,1,climb,whole,as written,quarter,68,miss,key",     /* another session */
        "s1,waltz,1,climb,whole,as written,quarter,72,miss,key",     /* another passage */
        "s1,march,1,climb,whole,as written,quarter,60,miss,changed", /* replaced by the last */
        "s1,march,1,climb,whole,as written,quarter,60,void,changed",
    };
    static const int32_t stand[] = {64000, 68000, 72000, 60000};
    char text[2048];
    snprintf(text, sizeof text, "%s", head);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "2026-11-24T19:30:05+01:00,%s\n", rows[i]);
    }
    struct read_back *back = read_text(text);
    assert_int_equal(back->faults, 0);
    assert_int_equal(back->rows, 4);
    for (size_t i = 0; i < 4; i++)
        assert_int_equal(back->row[i].tempo_mbpm, stand[i]);
    assert_int_equal(back->row[3].mark, PASSO_MARK_VOID);
    free_back(back);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_written_is_read_back),
        cmocka_unit_test(a_second_reader_agrees),
        cmocka_unit_test(any_line_end_will_do),
        cmocka_unit_test(columns_and_words),
        cmocka_unit_test(a_changed_row_replaces_the_earlier_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
