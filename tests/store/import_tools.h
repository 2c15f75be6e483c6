/* For the tests of import and export: logs in a folder of their own, what an import told, and files
 * as texts. */
#ifndef PASSO_TESTS_STORE_IMPORT_TOOLS_H
#define PASSO_TESTS_STORE_IMPORT_TOOLS_H

#include "store/csv_draw.h"
#include "store/export.h"
#include "store/import.h"

#define ROW(time, player, session, pass, tempo, mark, by)                                          \
    time "," player "," session ",march,The Marrowby March," pass ",climb,whole,33-36,as written," \
         "quarter," tempo ",104," mark "," by ",,0,held,96,8.000,8.000,20.000\r\n"
#define DAY "2026-11-24T18:00:00+01:00"

static char folder[] = "/tmp/passo-import-XXXXXX";

/* What an import gave, and its first sentences. */
struct taken {
    struct passo_import_result result;
    enum passo_error error;
    char why[5000];
    char told[8][1000];
    size_t faults;
    int asked;
    int busy;
};

static inline void keep_sentence(void *user, const char *sentence)
{
    struct taken *taken = user;
    if (taken->faults < 8)
        snprintf(taken->told[taken->faults], sizeof taken->told[0], "%s", sentence);
    taken->faults++;
}

static inline int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static inline int remove_folder(void **state)
{
    char command[100];
    (void)state;
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return system(command);
}

/* The path of a file in the folder; static. */
static inline const char *place(const char *name)
{
    static char path[4][100];
    static int next;
    next = (next + 1) % 4;
    snprintf(path[next], sizeof path[next], "%s/%s", folder, name);
    return path[next];
}

static inline struct passo_log *open_log(const char *name)
{
    struct passo_log *log;
    char fault[500];
    assert_int_equal(passo_log_open(place(name), PASSO_LOG_KEEP, &log, fault, sizeof fault),
                     PASSO_OK);
    return log;
}

static inline const char *put_file(const char *name, const char *text)
{
    const char *path = place(name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
    return path;
}

static inline struct taken import_file(struct passo_log *log, const char *path, const char *player)
{
    struct taken taken = {0};
    const struct passo_import import = {
        .path = path, .player = player, .user = &taken, .fault = keep_sentence};
    taken.error = passo_log_import(log, &import, &taken.result, taken.why, sizeof taken.why);
    return taken;
}

/* A header and these rows, as "anna.csv". */
static inline struct taken import_rows_of(struct passo_log *log, const char *rows)
{
    char *text = calloc(1, strlen(rows) + sizeof HEADER + 2);
    sprintf(text, "%s\r\n%s", HEADER, rows);
    struct taken taken = import_file(log, put_file("anna.csv", text), NULL);
    free(text);
    return taken;
}

static inline char *read_whole(const char *path)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    assert_int_equal(fseek(file, 0, SEEK_END), 0);
    size_t bytes = (size_t)ftell(file);
    rewind(file);
    char *text = calloc(1, bytes + 1);
    assert_int_equal(fread(text, 1, bytes, file), bytes);
    fclose(file);
    return text;
}

/* The log as an export writes it; free it. */
static inline char *exported(struct passo_log *log, bool days)
{
    const struct passo_log_wish all = {0};
    const struct passo_export export = {
        .path = place("export.csv"), .force = true, .days = days, .wish = &all, .wishes = 1};
    uint64_t rows;
    char fault[500];
    assert_int_equal(passo_log_export(log, &export, &rows, fault, sizeof fault), PASSO_OK);
    return read_whole(place("export.csv"));
}

static inline void keep_player(void *user, const char *player)
{
    char *players = user;
    strcat(strcat(players, player), ";");
}

/* "A.B.;C.D.;" */
static inline const char *players_of(struct passo_log *log)
{
    static char players[4000];
    char fault[500];
    players[0] = '\0';
    assert_int_equal(passo_log_players(log, keep_player, players, fault, sizeof fault), PASSO_OK);
    return players;
}

static inline void assert_has(const char *text, const char *part)
{
    if (!strstr(text, part))
        fail_msg("\"%s\" is not in \"%s\"", part, text);
}

#endif
