/* What the reader of the session CSV says of files and rows that it cannot read, and that it keeps
 * all the others. */
#include "store/csv_tools.h"

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/stat.h>

#define SHORT "time,session,passage,pass,part,loop,variant,beat_unit,tempo,mark"
#define ROW   "2026-11-24T19:30:05+01:00,s,march,1,climb,whole,as written,quarter,84,clean\n"

static void assert_no_file(const char *path, const char *words)
{
    struct read_back *back = read_path(path);
    assert_int_equal(back->error, PASSO_ERR_FILE);
    assert_non_null(strstr(back->why, words));
    assert_int_equal(strncmp(back->why, path, strlen(path)), 0);
    assert_null(strchr(back->why, '\n'));
    assert_int_equal(back->rows + back->faults, 0);
    free_back(back);
}

static void no_ordinary_file(void **state)
{
    (void)state;
    char folder[] = "/tmp/passo-faults-XXXXXX";
    char path[64];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/fifo", folder);
    assert_int_equal(mkfifo(path, 0600), 0);
    assert_no_file(path, "pipe");
    unlink(path);
    assert_no_file(path, "there is no such file");
    assert_no_file(folder, "folder");
    assert_no_file("/dev/zero", "device");
    snprintf(path, sizeof path, "%s/secret", folder);
    close(open(path, O_WRONLY | O_CREAT, 0000));
    if (access(path, R_OK) != 0) /* the superuser may read everything */
        assert_no_file(path, "may not be read");
    unlink(path);
    rmdir(folder);
}

static void assert_no_csv(const char *bytes, size_t length, const char *words)
{
    struct read_back *back = read_bytes(bytes, length);
    assert_int_equal(back->error, PASSO_ERR_SYNTAX);
    if (!strstr(back->why, words))
        fail_msg("%s: no \"%s\"", back->why, words);
    assert_int_equal(back->rows + back->faults, 0);
    free_back(back);
}

static void no_session_csv(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        const char *words;
    } files[] = {
        {"", "empty"},
        {"\n", "no session CSV"},
        {"[passage]\ntitle = march\n", "no session CSV"},
        {"time;session;passage\n", "semicolons"},
        {"time,session,passage,pass,part,loop,variant,beat_unit,mark\n" ROW, "named tempo"},
        {SHORT ",tempo\n", "two columns are named tempo"},
        {"\"time\n", "no session CSV"},
    };
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++)
        assert_no_csv(files[i].text, strlen(files[i].text), files[i].words);
    assert_no_csv("\x7f"
                  "ELF\0\0,,\0\n",
                  11, "no session CSV");
    char *wide = calloc(1, 70000);
    memset(wide, 'a', 69999);
    assert_no_csv(wide, 69999, "no session CSV");
    memset(wide, ',', 300);
    wide[300] = '\n';
    assert_no_csv(wide, 301, "more than 256 columns");
    free(wide);
}

/* A row of the ten columns with one cell in place of another; its fault names line and column. */
static void assert_bad_row(const char *row, const char *words)
{
    char text[1024];
    snprintf(text, sizeof text, "%s\n%s%s\n%s", SHORT, ROW, row, ROW);
    struct read_back *back = read_text(text);
    assert_int_equal(back->error, PASSO_OK);
    assert_int_equal(back->rows, 2);
    assert_int_equal(back->faults, 1);
    assert_non_null(strstr(back->fault[0], ", line 3: "));
    if (!strstr(back->fault[0], words))
        fail_msg("%s: no \"%s\"", back->fault[0], words);
    free_back(back);
}

static void bad_rows_are_told_and_the_rest_is_kept(void **state)
{
    (void)state;
#define T "2026-11-24T19:30:05+01:00,"
    static const char *const rows[][2] = {
        {"2026-11-31T19:30:05+01:00,s,m,1,climb,w,a,quarter,84,clean", "time is \"2026-11-31"},
        {"2026-02-29T19:30:05+01:00,s,m,1,climb,w,a,quarter,84,clean", "time is"},
        {"2026-11-24T19:30:05,s,m,1,climb,w,a,quarter,84,clean", "a time is written"},
        {"2026-11-24T24:00:00Z,s,m,1,climb,w,a,quarter,84,clean", "time is"},
        {"9999-11-24T20:00:00Z,s,m,1,climb,w,a,quarter,84,clean", "time is"},
        {",s,m,1,climb,w,a,quarter,84,clean", "time is \"\""},
        {T "s,m,0,climb,w,a,quarter,84,clean", "pass is \"0\"; a whole number"},
        {T "s,m,99999999999999999999,climb,w,a,quarter,84,clean", "pass is"},
        {T "s,m,1.5,climb,w,a,quarter,84,clean", "pass is"},
        {T "s,m,1,climbing,w,a,quarter,84,clean", "part is \"climbing\"; accepted are climb"},
        {T "s,m,1,done,w,a,quarter,84,clean", "part is"},
        {T "s,m,1,climb,w,a,quarter,\"84,5\",clean", "tempo is \"84,5\"; a tempo from 5"},
        {T "s,m,1,climb,w,a,quarter,4.999,clean", "tempo is"},
        {T "s,m,1,climb,w,a,quarter,1e2,clean", "tempo is"},
        {T "s,m,1,climb,w,a,quarter,84.,clean", "tempo is"},
        {T "s,m,1,climb,w,a,quarter,,clean", "tempo is \"\""},
        {T "s,m,1,climb,w,a,quarter,84,Clean!", "mark is \"Clean!\"; accepted are clean"},
        {T "s,m,1,climb,w,a,quar", "torn, with 8 of 10 cells"},
        {T "s,m,1,climb,w,a,quarter,84,clean,more", "11 cells"},
        {T "s,\"m\"x,1,climb,w,a,quarter,84,clean", "closing quote"},
        {T "s,m,1,climb,w,a,quarter,84,"
           "ééééééééééééééééééééééééééééééééééééééééééééééé",
         "ééé...\""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_bad_row(rows[i][0], rows[i][1]);
}

/* A torn last line (trade.md 15), and a quote that a torn row left open in the middle of a file. */
static void torn_rows(void **state)
{
    (void)state;
    struct read_back *back = read_text(SHORT "\n" ROW "2026-11-24T19:31:05+01:00,s,mar");
    assert_int_equal(back->rows, 1);
    assert_int_equal(back->faults, 1);
    assert_non_null(strstr(back->fault[0], "line 3: torn, with 3 of 10 cells"));
    free_back(back);
    back = read_text(SHORT "\n" ROW "2026-11-24T19:31:05+01:00,s,\"the ma\n" ROW ROW);
    assert_int_equal(back->rows, 3);
    assert_int_equal(back->faults, 1);
    assert_non_null(strstr(back->fault[0], "line 3: a quote is opened here and never closed"));
    free_back(back);
    /* Another torn row closes it: too few cells, and the row between is kept. */
    back = read_text(SHORT "\n2026-11-24T19:31:05+01:00,s,\"the ma\n" ROW
                           "2026-11-24T19:31:05+01:00,s,\"\n" ROW);
    assert_int_equal(back->rows, 2);
    assert_int_equal(back->row[0].line, 3);
    assert_int_equal(back->faults, 2);
    assert_non_null(strstr(back->fault[0], "line 2: torn, with 3 of 10 cells"));
    assert_non_null(strstr(back->fault[1], "line 4: "));
    free_back(back);
    /* The next quote stands before more text, which gives it away. */
    back = read_text(SHORT "\n" ROW "2026-11-24T19:31:05+01:00,s,\"the ma\n" ROW
                           "2026-11-24T19:30:05+01:00,s,\"march\",9,climb,whole,as "
                           "written,quarter,84,clean\n" ROW);
    assert_int_equal(back->rows, 4);
    assert_int_equal(back->faults, 1);
    assert_int_equal(back->row[2].pass, 9);
    assert_int_equal(back->row[2].line, 5);
    free_back(back);
    /* Files joined where the first was torn: its last row runs into the header. */
    back = read_text(SHORT "\n" ROW "2026-11-24T19:31:05+01:00,s,mar" SHORT "\n" ROW);
    assert_int_equal(back->rows, 2);
    assert_int_equal(back->faults, 1);
    free_back(back);
}

static void a_row_has_a_length_cap(void **state)
{
    (void)state;
    const size_t longest = PASSO_CSV_RECORD_MAX;
    char *text = calloc(1, 4 * longest);
    const char *end = ",march,1,climb,whole,as written,quarter,84,clean";
    for (size_t more = 0; more < 2; more++) {
        size_t head = (size_t)sprintf(text, "%s\n", SHORT);
        size_t used = head + (size_t)sprintf(text + head, "2026-11-24T19:30:05+01:00,");
        size_t fill = longest + more - (used - head) - strlen(end);
        memset(text + used, 'x', fill);
        sprintf(text + used + fill, "%s\r\n%s", end, ROW);
        struct read_back *back = read_text(text);
        assert_int_equal(back->rows, 2 - more);
        assert_int_equal(back->faults, more);
        if (more)
            assert_non_null(strstr(back->fault[0], "line 2: this row is longer than 64 KiB"));
        free_back(back);
    }
    /* An open quote with much behind it, and a line of 200 000 bytes. */
    size_t used = (size_t)sprintf(text, "%s\n\"\n", SHORT);
    for (int i = 0; i < 1000; i++)
        used += (size_t)sprintf(text + used, "%s", ROW);
    memset(text + used, 'x', 150000);
    sprintf(text + used + 150000, "\n%s", ROW);
    struct read_back *back = read_text(text);
    assert_int_equal(back->rows, 1001);
    assert_int_equal(back->faults, 2);
    assert_non_null(strstr(back->fault[1], "line 1003: "));
    assert_int_equal(back->row[1000].line, 1004);
    free_back(back);
    free(text);
}

static void fifty_faults_then_a_count(void **state)
{
    (void)state;
    for (int bad = 50; bad <= 173; bad += 123) {
        char *text = calloc(1, 65536);
        size_t used = (size_t)sprintf(text, "%s\n", SHORT);
        for (int i = 0; i < bad; i++)
            used += (size_t)sprintf(text + used, "bad %d\n%s", i, ROW);
        struct read_back *back = read_text(text);
        assert_int_equal(back->rows, bad);
        assert_int_equal(back->faults, bad == 50 ? 50 : 51);
        if (bad > 50)
            assert_non_null(strstr(back->fault[50], "123 more rows are passed over"));
        free_back(back);
        free(text);
    }
}

static const char *count_row(void *user, const struct passo_row *row)
{
    (void)row;
    ++*(size_t *)user;
    return NULL;
}

/* Memory does not grow with the file: 50 MB are read where 24 MiB of data are allowed. Not with
 * clang, whose sanitizers show only by __has_feature and need more than that. */
static void a_long_file_takes_no_memory(void **state)
{
    (void)state;
    enum { ROWS = 700000 };
    char path[] = "/tmp/passo-long-XXXXXX";
    char fault[256];
    size_t rows = 0;
    struct rlimit before;
    FILE *file = fdopen(mkstemp(path), "w");
    fputs(SHORT "\n", file);
    for (int i = 0; i < ROWS; i++)
        fputs(ROW, file);
    fclose(file);
    getrlimit(RLIMIT_DATA, &before);
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__) &&                             \
    !(defined(__has_feature) && defined(__clang__))
    struct rlimit tight = {.rlim_cur = 24u << 20, .rlim_max = before.rlim_max};
    setrlimit(RLIMIT_DATA, &tight);
#endif
    struct passo_csv_taker taker = {.user = &rows, .row = count_row};
    enum passo_error error = passo_csv_read(path, &taker, fault, sizeof fault);
    setrlimit(RLIMIT_DATA, &before);
    assert_int_equal(error, PASSO_OK);
    assert_int_equal(rows, ROWS);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_ordinary_file),
        cmocka_unit_test(no_session_csv),
        cmocka_unit_test(bad_rows_are_told_and_the_rest_is_kept),
        cmocka_unit_test(torn_rows),
        cmocka_unit_test(a_row_has_a_length_cap),
        cmocka_unit_test(fifty_faults_then_a_count),
        cmocka_unit_test(a_long_file_takes_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
