/* The sessions of trade.md section 4 as files in tests/session/trade, played pass by pass through
 * the real conductor in simulated time: the passage file is read as a player's would be, the
 * .course says what is played and what must come of it (trade_course.h). The rules are common
 * practice among players and teachers; the numbers of the sessions are invented. */
#include "stage_band.h"

#include <glob.h>

#include "trade_judge.h"
#include "trade_record.h"
#include "trade_stand.h"

#define TRADE_FOLDER PASSO_SOURCE_DIR "/tests/session/trade/"

enum { SESSIONS_MAX = 20 };

/* --- climbs --- */

/* A session on its way. */
struct trade {
    struct trade_course *course;
    char passage[512];
    char log[32]; /* of its days; "" none yet */
};

static const char *mark_named(const char *letter)
{
    switch (letter[1] ? '\0' : letter[0]) {
    case 'C':
        return "clean";
    case 'M':
        return "miss";
    case 'U':
        return "unmarked";
    case 'V':
        return "void";
    default:
        return NULL;
    }
}

/* The mark of a line that is a row, or NULL. */
static const char *row_mark(const struct trade_line *row)
{
    return row->words > 2 ? mark_named(row->word[2].text) : NULL;
}

/* The script's letters for what a course says: `U` is `.` there. */
static void add_mark(char *script, const struct trade_line *row)
{
    const char *part = trade_value(row, 3, "part");
    char letter = (char)tolower(row->word[2].text[0]);
    if (!part || strcmp(part, "anchor"))
        snprintf(script + strlen(script), 2, "%c", letter == 'u' ? '.' : letter);
}

static void judge_row(struct trade *trade, const struct trade_line *line, struct trade_came *came)
{
    struct trade_course *course = trade->course;
    const struct band_row *row = came->row;
    const char *mark = row_mark(line);
    int at = line->word[0].line;
    char tempo[32];
    if (!mark)
        return;
    if (row->pass != atoi(line->word[0].text))
        trade_fault(course, at, "this row is of pass %d", row->pass);
    trade_tempo(row->tempo, tempo, sizeof tempo);
    if (strcmp(tempo, line->word[1].text))
        trade_fault(course, at, "pass %d is at %s, not %s", row->pass, tempo, line->word[1].text);
    if (strcmp(mark, row->mark))
        trade_fault(course, at, "pass %d is %s, not %s", row->pass, row->mark, mark);
    if (!trade_value(line, 3, "part") && strcmp(row->part, "climb"))
        trade_fault(course, at, "pass %d is of part %s", row->pass, row->part);
    came->heard = &heard.pass[row->pass];
    trade_judge(course, line, 3, trade_of_pass, came, NULL);
}

static void judge_end(struct trade *trade, const struct trade_line *line, const struct band *band,
                      struct passo_setup *setup, struct trade_came *came)
{
    const char *outcome = passo_outcome_name(band->result.outcome);
    if (line->words < 2 || strcmp(line->word[1].text, outcome))
        trade_fault(trade->course, line->word[0].line, "the climb ends as `%s`", outcome);
    look_ahead(band->csv, setup, came);
    trade_judge(trade->course, line, 2, trade_of_end, came, NULL);
}

/* Judges what a stand has played by the lines of its climb. */
static void judge_climb(struct trade *trade, const struct stand *stand, struct passo_setup *setup,
                        const struct trade_line *line, size_t lines)
{
    const struct band *band = &stand->band;
    struct trade_came came = {.setup = setup, .result = &band->result};
    const struct trade_line *end = NULL;
    size_t rows = 0;
    for (size_t i = 0; i < lines; i++) {
        if (trade_line_is(&line[i], "end"))
            end = &line[i];
        if (!trade_line_is_row(&line[i]) || rows++ >= band->rows)
            continue;
        came.row = &band->row[rows - 1];
        judge_row(trade, &line[i], &came);
    }
    int last = line[lines - 1].word[0].line;
    if (rows != band->rows)
        trade_fault(trade->course, last, "%zu rows are said, %zu were played", rows, band->rows);
    if (stand->taken != stand->presses)
        trade_fault(trade->course, stand->press[stand->taken].line->word[0].line,
                    "this press was never due");
    if (end)
        judge_end(trade, end, band, setup, &came);
    else
        trade_fault(trade->course, last, "a climb's last line says its end: `end won`");
}

/* Adds what a line plays: a press to the stand's, or a mark to the script. */
static void prepare_line(struct stand *stand, const struct trade_line *line, char *script)
{
    int at = line->word[0].line;
    if (trade_line_is(line, "press"))
        stand_add_press(stand, line);
    else if (trade_line_is_row(line) && row_mark(line))
        add_mark(script, line);
    else if (trade_line_is_row(line))
        trade_fault(stand->course, at, "a pass is number, tempo, mark: `1 84 C` would do");
    else if (!trade_line_is(line, "climb") && !trade_line_is(line, "end"))
        trade_fault(stand->course, at, "`%s` begins no line", line->word[0].text);
}

static void play_climb(struct trade *trade, const struct trade_line *line, size_t lines)
{
    char script[TRADE_LINES + 1] = "";
    struct stand *stand = stand_new(trade->course, evening_of(TRADE_DAY));
    struct passo_setup *setup = band_setup_of_file(trade->passage);
    for (size_t i = 0; i < lines; i++)
        prepare_line(stand, &line[i], script);
    band_play_setup(&stand->band, setup, stand->presses ? NULL : script);
    judge_climb(trade, stand, setup, line, lines);
    free(setup);
    band_free(&stand->band);
}

/* Adds a day's record to the log and judges the day by it. */
static void judge_day(struct trade *trade, const struct trade_line *line, const struct band *band,
                      int32_t date, struct trade_came *came)
{
    struct passo_past_log log;
    if (!trade->log[0]) {
        snprintf(trade->log, sizeof trade->log, "/tmp/passo-log-XXXXXX");
        close(mkstemp(trade->log));
    }
    append_rows(band->csv, trade->log);
    read_past(trade->log, came->setup, date, &log);
    assert_int_equal(log.last_day, date);
    assert_true(band->rows > 1);
    const struct band_row *row = band->row;
    bool tried =
        strcmp(row[0].part, "cold") == 0 && row[0].tempo * 1000 == came->setup->rule.target_mbpm;
    came->cold = !tried ? "not played" : strcmp(row[0].mark, "clean") == 0 ? "C" : "M";
    came->clean = best_clean(&log);
    came->opens = row[1].tempo;
    trade_judge(trade->course, line, 2, trade_of_day, came, "marks");
    passo_past_deinit(&log);
}

/* `day DATE ... cold MARK marks MARKS`: after the log of the days before, on which it then stands
 * too. */
static void play_day(struct trade *trade, const struct trade_line *line)
{
    int year = 0, month = 0, day = 0;
    char marks[TRADE_WORD_BYTES + 8];
    const char *cold = trade_value(line, 2, "cold");
    const char *climb = trade_value(line, 2, "marks");
    if (line->words < 2 || !cold || !climb ||
        sscanf(line->word[1].text, "%d-%d-%d", &year, &month, &day) != 3) {
        trade_fault(trade->course, line->word[0].line,
                    "`day 2026-11-03 cold M marks CCM` would do");
        return;
    }
    int32_t date = year * 10000 + month * 100 + day;
    struct stand *stand = stand_new(trade->course, evening_of(date));
    struct passo_setup *setup = band_setup_of_file(trade->passage);
    struct trade_came came = {.setup = setup, .result = &stand->band.result};
    struct passo_past_log log = {0};
    if (trade->log[0])
        read_past(trade->log, setup, date, &log);
    came.missed = open_after(setup, &log);
    passo_past_deinit(&log);
    snprintf(marks, sizeof marks, "%s %s", cold, climb);
    for (char *at = marks; *at; at++)
        *at = (char)tolower(*at);
    band_play_setup(&stand->band, setup, marks);
    judge_day(trade, line, &stand->band, date, &came);
    free(setup);
    band_free(&stand->band);
}

/* --- sessions --- */

static bool begins_climb(const struct trade_line *line)
{
    return trade_line_is(line, "climb") || trade_line_is(line, "day");
}

/* Plays and judges a course; frees it. Returns its faults. */
static size_t play_course(struct trade_course *course, const char *passage)
{
    struct trade trade = {.course = course};
    snprintf(trade.passage, sizeof trade.passage, "%s", passage);
    for (size_t i = 0; i < course->lines;) {
        size_t next = i + 1;
        while (next < course->lines && !begins_climb(&course->line[next]))
            next++;
        if (trade_line_is(&course->line[i], "day"))
            play_day(&trade, &course->line[i]);
        else
            play_climb(&trade, &course->line[i], next - i);
        i = next;
    }
    if (trade.log[0])
        unlink(trade.log);
    heard_clear();
    size_t faults = course->faults;
    free(course);
    return faults;
}

static void passage_of_course(const char *path, char *out, size_t bytes)
{
    snprintf(out, bytes, "%.*s.passo", (int)(strlen(path) - strlen(".course")), path);
    if (access(out, R_OK))
        fail_msg("%s has no passage file beside it", path);
}

static void a_session(void **state)
{
    const char *path = *state;
    char passage[512];
    passage_of_course(path, passage, sizeof passage);
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    struct trade_course *course = trade_course_read(strrchr(path, '/') + 1, file, false);
    fclose(file);
    assert_int_equal(play_course(course, passage), 0);
}

/* The sessions that a ladder and a pulse can play. */
static void all_sessions_are_there(void **state)
{
    static const int numbers[] = {1, 2, 3, 4, 5, 6, 7, 8, 11, 12, 14};
    const glob_t *paths = *state;
    assert_int_equal(paths->gl_pathc, sizeof numbers / sizeof numbers[0]);
    for (size_t i = 0; i < paths->gl_pathc; i++)
        assert_int_equal(atoi(strrchr(paths->gl_pathv[i], '/') + 1), numbers[i]);
}

static size_t faults_of(const char *passage, const char *text)
{
    char path[512];
    snprintf(path, sizeof path, "%s%s", TRADE_FOLDER, passage);
    FILE *file = fmemopen((void *)(uintptr_t)text, strlen(text), "r");
    assert_non_null(file);
    struct trade_course *course = trade_course_read("a wrong course", file, true);
    fclose(file);
    return play_course(course, path);
}

/* Courses of session 14, and the faults planted in each. */
static const struct {
    size_t faults;
    const char *text;
} wrong[] = {
    {0, "1 84 C\n2 84 M silent 24 returns \"8.571 17.143 25.714\"\n\nend quit best 84\n"},
    {1, "1 84 C\n2 85 M\nend quit\n"},           /* a tempo */
    {1, "1 84 C\n2 84 C move held\nend quit\n"}, /* a move */
    {1, "1 84 C\n3 84 M\nend quit\n"},           /* a number */
    {1, "1 84 C\n2 84 M part over\nend quit\n"}, /* a part */
    {1, "1 84 C\n2 84 M\n"},                     /* no end */
    {1, "1 84 C\nend won\n"},                    /* another end */
    {1, "1 84 C\nend quit best 88\n"},           /* its best */
    {1, "1 84 C silent 24\nend quit\n"},         /* the first pass is never silent */
    {1, "1 84 C landing 34.285\nend quit\n"},    /* a place */
    {1, "1 84 C clicks \"1.1 0 0.713\"\nend quit\n"},
    {1, "1 84 C count-in 4\nend quit\n"},
    {1, "1 84 C counts \"1 2\"\nend quit\n"},
    {1, "1 84 C elapsed 72.6\nend quit\n"},
    {1, "1 84 C cue raised\nend quit\n"},
    {1, "1 84 C colour red\nend quit\n"}, /* a word that is not known */
    {1, "1 84 C move\nend quit\n"},       /* no value */
    {2, "1 84\nend quit\n"},              /* no mark: nothing is played */
    {2, "press q pass 1 rest 1\npress q pass 9 rest 1\n1 84 C\nend quit\n"},
    {1, "press elbow pass 1 rest 1\n1 84 C\nend quit\n"},
    {1, "day 2026-11-24\n"},
};

/* The judge finds every planted fault, and none where there is none. */
static void a_wrong_course_is_found(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        size_t faults = faults_of("14-silent-bars.passo", wrong[i].text);
        if (faults != wrong[i].faults)
            fail_msg("%zu faults, not %zu, in\n%s", faults, wrong[i].faults, wrong[i].text);
    }
    assert_int_equal(faults_of("08-ten-days.passo",
                               "day 2026-11-01 opens 60 best 61 level 59 cold M marks CC\n"
                               "day 2026-11-02 opens 60 cold M marks C\n"),
                     0);
    assert_int_equal(faults_of("08-ten-days.passo",
                               "day 2026-11-01 opens 61 best 62 cold M marks CC\n"
                               "day 2026-11-03 missed 0 cold M marks C\n"),
                     3);
}

int main(void)
{
    glob_t paths = {0};
    struct CMUnitTest tests[SESSIONS_MAX + 2] = {
        {"all_sessions_are_there", all_sessions_are_there, NULL, NULL, &paths},
        {"a_wrong_course_is_found", a_wrong_course_is_found, NULL, NULL, NULL},
    };
    setenv("TZ", "UTC", 1);
    if (glob(TRADE_FOLDER "*.course", 0, NULL, &paths) || paths.gl_pathc > SESSIONS_MAX)
        return 1;
    for (size_t i = 0; i < paths.gl_pathc; i++) {
        char *path = paths.gl_pathv[i];
        tests[2 + i] = (struct CMUnitTest){strrchr(path, '/') + 1, a_session, NULL, NULL, path};
    }
    int failed = _cmocka_run_group_tests("trade", tests, 2 + paths.gl_pathc, NULL, NULL);
    globfree(&paths);
    return failed;
}
