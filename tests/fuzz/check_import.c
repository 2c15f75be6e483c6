/* The bytes of an input into a log and out again. The logs are in memory: one that is not there and
 * is opened to be looked at is an empty one of that kind. */
#include "fuzz.h"

#include "store/import.h"

#include <sys/stat.h>
#include <unistd.h>

static size_t told;

static void take_fault(void *user, const char *sentence)
{
    (void)user;
    told++;
    FUZZ_CHECK(told <= PASSO_CSV_FAULTS_MAX + 1 && sentence[0]);
}

static struct passo_log *open_nowhere(void)
{
    struct passo_log *log;
    char fault[256];
    FUZZ_CHECK(passo_log_open("/nowhere-at-all/log.sqlite", PASSO_LOG_LOOK, &log, fault,
                              sizeof fault) == PASSO_OK);
    return log;
}

static enum passo_error take_in(struct passo_log *log, const void *data, size_t bytes,
                                struct passo_import_result *out_result)
{
    char path[FUZZ_PATH_BYTES];
    char fault[512];
    int file = fuzz_file(data, bytes, path);
    const struct passo_import import = {.path = path, .fault = take_fault};
    told = 0;
    enum passo_error error = passo_log_import(log, &import, out_result, fault, sizeof fault);
    FUZZ_CHECK(error == PASSO_OK || error == PASSO_ERR_SYNTAX);
    FUZZ_CHECK(error == PASSO_OK ? told == 0 : told > 0 || fault[0]);
    close(file);
    return error;
}

static void write_row(void *user, const struct passo_row *row)
{
    FUZZ_CHECK(passo_csv_write(user, row) == PASSO_OK);
}

/* All of a log as a CSV; free it. */
static char *written(struct passo_log *log, size_t *out_bytes)
{
    const struct passo_log_wish all = {0};
    struct passo_csv *csv;
    struct stat about;
    char path[FUZZ_PATH_BYTES];
    char fault[256];
    int file = fuzz_file("", 0, path);
    FUZZ_CHECK(passo_csv_open(path, true, &csv, fault, sizeof fault) == PASSO_OK);
    FUZZ_CHECK(passo_log_rows(log, &all, write_row, csv, fault, sizeof fault) == PASSO_OK);
    FUZZ_CHECK(passo_csv_close(csv) == PASSO_OK && fstat(file, &about) == 0);
    *out_bytes = (size_t)about.st_size;
    char *text = malloc(*out_bytes + 1);
    FUZZ_CHECK(text && pread(file, text, *out_bytes, 0) == about.st_size);
    close(file);
    return text;
}

static void keep_count(void *user, const char *player)
{
    size_t *players = user;
    FUZZ_CHECK(player != NULL);
    ++*players;
}

static void check_empty(struct passo_log *log)
{
    static const char last[] = ",elapsed_s\r\n";
    size_t players = 0;
    size_t bytes;
    char fault[256];
    FUZZ_CHECK(passo_log_players(log, keep_count, &players, fault, sizeof fault) == PASSO_OK);
    char *text = written(log, &bytes);
    FUZZ_CHECK(players == 0 && bytes > sizeof last);
    FUZZ_CHECK(!memcmp(text + bytes - (sizeof last - 1), last, sizeof last - 1));
    free(text);
}

static void check_there_and_back(struct passo_log *log, const struct passo_import_result *first)
{
    struct passo_import_result result;
    struct passo_log *other = open_nowhere();
    size_t bytes;
    size_t bytes_back;
    char *text = written(log, &bytes);
    FUZZ_CHECK(take_in(other, text, bytes, &result) == PASSO_OK);
    FUZZ_CHECK(result.added == first->added && result.passes == first->added);
    char *back = written(other, &bytes_back);
    FUZZ_CHECK(bytes == bytes_back && !memcmp(text, back, bytes));
    free(text);
    free(back);
    passo_log_close(other);
}

void fuzz_check_import(const uint8_t *data, size_t bytes)
{
    struct passo_import_result first;
    struct passo_import_result again;
    struct passo_log *log = open_nowhere();
    if (take_in(log, data, bytes, &first) == PASSO_OK) {
        FUZZ_CHECK(first.added + first.corrected + first.known == first.passes);
        FUZZ_CHECK(take_in(log, data, bytes, &again) == PASSO_OK);
        FUZZ_CHECK(again.added == 0 && again.passes == first.passes);
        FUZZ_CHECK(again.corrected == 0 && again.known == again.passes);
        if (first.added)
            check_there_and_back(log, &first);
    } else {
        check_empty(log);
    }
    passo_log_close(log);
}
