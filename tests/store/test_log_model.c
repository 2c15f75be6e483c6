/* Drawn sequences of what a session does with a log, beside a plain model of it in arrays: the rows
 * are the model's, the days are those that the rows give, and nothing that was written once is
 * written again. */
#include "store/log_tools.h"

#include <passo/random.h>

enum { CLIMBS_MAX = 64, PASSES_MAX = 400, DAYS_MAX = 400, SEEDS = 24, STEPS = 160 };

#define ALL ((struct passo_log_wish){0})

/* --- the model --- */

struct model_climb {
    struct passo_log_climb of;
    char session[PASSO_SESSION_BYTES];
    uint32_t passes;
};

struct model {
    struct passo_random random;
    struct model_climb climb[CLIMBS_MAX];
    size_t climbs;
    struct passo_row row[PASSES_MAX]; /* as they now hold; `line` is the climb's index */
    size_t rows;
    int64_t now_ns;
};

static uint32_t draw(struct model *model, uint32_t below)
{
    return (uint32_t)passo_random_below(&model->random, below);
}

static int64_t whole_ms(int64_t ns)
{
    return (ns + 500000) / 1000000 * 1000000;
}

/* Draws what a pass can be told later. */
static void draw_mark(struct model *model, struct passo_row *row)
{
    static const char *const marked_by[] = {"", "key", "assumed", "changed"};
    row->mark = (enum passo_mark)draw(model, PASSO_MARK_COUNT);
    row->marked_by = marked_by[draw(model, 4)];
    row->miss_bar = draw(model, 3) ? INT32_MIN : (int32_t)draw(model, 9) - 4;
    row->clean_in_a_row = draw(model, 4);
    row->move = (enum passo_move)draw(model, PASSO_MOVE_COUNT);
    row->next_mbpm = draw(model, 2) ? 0 : 60000 + (int32_t)draw(model, 9) * 1000;
    row->rest_ns = draw(model, 2000000000);
    row->elapsed_ns = (int64_t)draw(model, 2000000000) * 40;
}

static struct passo_row draw_row(struct model *model, uint32_t number)
{
    static const char *const loops[] = {"whole", "A", "context", ""};
    static const char *const variants[] = {"as written", "octave below", "tongued, \xc3\xa9"};
    static const char *const beats[] = {"quarter", "dotted quarter"};
    struct passo_row row = row_at(number, 0);
    /* now and then the clock stands still, or is set back */
    if (draw(model, 5))
        model->now_ns += draw(model, 20) ? draw(model, 4000) * SECOND / 7 : -7200 * SECOND;
    passo_row_time(&row, model->now_ns, (int32_t)draw(model, 5) * 12600 - 25200);
    uint32_t part = draw(model, PASSO_PART_DONE + 2);
    row.part = part < PASSO_PART_DONE ? (enum passo_part)part : PASSO_PART_COUNT;
    if (part >= PASSO_PART_DONE)
        row.extra = (enum passo_extra)(part - PASSO_PART_DONE + 1);
    row.loop = loops[draw(model, 4)];
    row.variant = variants[draw(model, 3)];
    row.off_pitch = draw(model, 4) == 0;
    row.beat_unit = beats[draw(model, 8) == 0];
    row.tempo_mbpm = 88000 + (int32_t)draw(model, 14) * 1000;
    row.target_mbpm = draw(model, 6) ? 100000 : draw(model, 2) ? 96000 : 0;
    row.play_ns = (int64_t)draw(model, 2000000000) * 9;
    draw_mark(model, &row);
    return row;
}

static void model_begin(struct model *model, struct passo_log *log)
{
    static const char *const players[] = {"A.B.", "", "C.D."};
    static const char *const passages[] = {"Run", "Solo", "Run "};
    if (model->climbs == CLIMBS_MAX)
        return;
    struct model_climb *climb = &model->climb[model->climbs++];
    *climb = (struct model_climb){
        .of = climb_at(players[draw(model, 3)], passages[draw(model, 3)], model->now_ns)};
    climb->of.session = draw(model, 2) ? "20261125T193005" : "another";
    passo_log_begin(log, &climb->of, climb->session);
}

static void model_played(struct model *model, struct passo_log *log)
{
    if (model->rows == PASSES_MAX)
        return;
    struct model_climb *climb = &model->climb[model->climbs - 1];
    struct passo_row row = draw_row(model, ++climb->passes);
    struct passo_ladder_event event = event_of(&row);
    passo_log_played(log, &row, &event);
    row.player = climb->of.player;
    row.passage = climb->of.passage;
    row.piece = climb->of.piece;
    row.session = climb->session;
    row.line = model->climbs - 1;
    row.play_ns = whole_ms(row.play_ns);
    row.rest_ns = whole_ms(row.rest_ns);
    row.elapsed_ns = whole_ms(row.elapsed_ns);
    model->row[model->rows++] = row;
}

/* Of a pass of the climb that is played now. */
static void model_change(struct model *model, struct passo_log *log)
{
    if (!model->rows || model->row[model->rows - 1].line != model->climbs - 1)
        return;
    uint32_t back = draw(model, model->climb[model->climbs - 1].passes);
    struct passo_row *row = &model->row[model->rows - 1 - back];
    draw_mark(model, row);
    passo_log_change(log, (enum passo_log_change)draw(model, PASSO_LOG_CHANGE_COUNT), row);
    row->rest_ns = whole_ms(row->rest_ns);
    row->elapsed_ns = whole_ms(row->elapsed_ns);
}

/* --- what the model says --- */

static const struct model *sorted; /* for qsort */

static int64_t second_of(int64_t ns)
{
    return ns / SECOND - (ns % SECOND < 0);
}

static int64_t first_second(size_t climb)
{
    int64_t first = INT64_MAX;
    for (size_t i = 0; i < sorted->rows; i++) {
        if (sorted->row[i].line == climb && second_of(sorted->row[i].time_ns) < first)
            first = second_of(sorted->row[i].time_ns);
    }
    return first;
}

static int by_session(const void *left, const void *right)
{
    const struct passo_row *a = left;
    const struct passo_row *b = right;
    if (a->line == b->line)
        return a->pass < b->pass ? -1 : a->pass > b->pass;
    int64_t a_s = first_second(a->line);
    int64_t b_s = first_second(b->line);
    if (a_s != b_s)
        return a_s < b_s ? -1 : 1;
    int order = strcmp(a->player, b->player);
    order = order ? order : strcmp(a->passage, b->passage);
    order = order ? order : strcmp(a->piece, b->piece);
    return order ? order : strcmp(a->session, b->session);
}

static struct rows model_rows(const struct model *model)
{
    struct rows rows = {0};
    static struct passo_row row[PASSES_MAX];
    memcpy(row, model->row, sizeof row);
    sorted = model;
    qsort(row, model->rows, sizeof *row, by_session);
    for (size_t i = 0; i < model->rows; i++)
        add_row(&rows, &row[i]);
    return rows;
}

static bool is_of_day(const struct passo_row *row, const struct passo_log_day *day)
{
    return !strcmp(row->player, day->player) && !strcmp(row->passage, day->passage) &&
           !strcmp(row->beat_unit, day->beat_unit) && row->day == day->day &&
           row->target_mbpm == day->target_mbpm && row->mark != PASSO_MARK_VOID &&
           row->extra != PASSO_EXTRA_CHECK;
}

/* Leaves only which day it is. */
static void forget_counts(struct passo_log_day *day)
{
    const struct passo_log_day was = *day;
    *day = (struct passo_log_day){.player = was.player,
                                  .passage = was.passage,
                                  .piece = was.piece,
                                  .beat_unit = was.beat_unit,
                                  .day = was.day,
                                  .target_mbpm = was.target_mbpm,
                                  .first_ns = INT64_MAX};
}

/* Counts a day from the rows alone, one question after the other, as log.h puts them. */
static struct passo_log_day count_day(const struct rows *rows, struct passo_log_day day)
{
    const struct passo_row *first = NULL;
    const struct passo_row *level = NULL;
    const struct passo_row *last = NULL;
    struct passo_log_day counted = day;
    forget_counts(&counted);
    for (size_t i = 0; i < rows->count; i++) {
        const struct passo_row *row = &rows->at[i];
        if (!is_of_day(row, &day))
            continue;
        counted.passes++;
        counted.play_ns += row->play_ns;
        if (row->time_ns < counted.first_ns)
            counted.first_ns = row->time_ns;
        if (row->move != PASSO_MOVE_NONE && (!last || row->time_ns >= last->time_ns))
            last = row;
        if (row->part == PASSO_PART_ANCHOR || row->part == PASSO_PART_EASY)
            continue;
        bool clean = row->mark == PASSO_MARK_CLEAN;
        counted.clean += clean;
        counted.missed += row->mark == PASSO_MARK_MISS;
        if (row->mark != PASSO_MARK_NONE && (!first || row->time_ns < first->time_ns))
            first = row;
        bool fast = row->mark != PASSO_MARK_NONE && row->target_mbpm > 0 &&
                    row->tempo_mbpm >= 0.95 * row->target_mbpm;
        if (fast && (!level || row->time_ns < level->time_ns))
            level = row;
        bool whole = !strcmp(row->loop, "whole") || row->part == PASSO_PART_CONTEXT;
        if (clean && !row->off_pitch && whole && row->tempo_mbpm > counted.best_clean_mbpm)
            counted.best_clean_mbpm = row->tempo_mbpm;
        bool climbing = row->part == PASSO_PART_CLIMB || row->extra == PASSO_EXTRA_VISIT;
        bool moved = row->move == PASSO_MOVE_RAISED || row->move == PASSO_MOVE_WON ||
                     row->move == PASSO_MOVE_DROPPED;
        if (clean && climbing && moved && row->tempo_mbpm > counted.best_won_mbpm)
            counted.best_won_mbpm = row->tempo_mbpm;
    }
    counted.first_try = first ? first->mark : PASSO_MARK_NONE;
    counted.first_at_level = level ? level->mark : PASSO_MARK_NONE;
    counted.ended = last ? passo_move_as_end(last->move) : PASSO_MOVE_NONE;
    return counted;
}

static void assert_days_are_counted(struct passo_log *log, struct rows *rows)
{
    struct days days = days_of(log, ALL);
    for (size_t i = 0; i < days.count; i++) {
        struct passo_log_day counted = count_day(rows, days.at[i]);
        assert_true(counted.passes > 0);
        if (!same_day(&counted, &days.at[i]))
            fail_msg("day %d of %s at %d is not what its rows give", days.at[i].day,
                     days.at[i].passage, days.at[i].target_mbpm);
    }
    /* and no day is missing: every row that counts has just one */
    for (size_t i = 0; i < rows->count; i++) {
        size_t found = 0;
        for (size_t j = 0; j < days.count; j++)
            found += is_of_day(&rows->at[i], &days.at[j]);
        bool counts = rows->at[i].mark != PASSO_MARK_VOID && rows->at[i].extra != PASSO_EXTRA_CHECK;
        assert_int_equal(found, counts);
    }
    free_days(&days);
}

/* --- append-only --- */

#define PASS_TEXT                                                                                  \
    "SELECT group_concat(climb || ':' || number || ':' || time_ns || ':' || part || ':' || mark "  \
    "|| ':' || marked_by || ':' || rest_ms || ':' || tempo_mbpm || ':' || move, '/') "             \
    "FROM (SELECT * FROM pass ORDER BY climb, number)"
#define CHANGE_TEXT                                                                                \
    "SELECT group_concat(id || ':' || climb || ':' || number || ':' || kind || ':' || mark || "    \
    "':' || marked_by || ':' || rest_ms || ':' || at_s, '/') FROM (SELECT * FROM change ORDER BY " \
    "id)"

/* Whether all that was is still there. Climbs come one after the other, so passes do too. */
static void assert_grew(char **before, const char *path, const char *sql)
{
    char *now = ask(path, sql);
    if (*before && strncmp(now, *before, strlen(*before)) != 0)
        fail_msg("%s is not what it was, and more", sql);
    free(*before);
    *before = now;
}

static void compare(struct passo_log *log, const struct model *model)
{
    struct rows rows = rows_of(log, ALL);
    struct rows wanted = model_rows(model);
    assert_same_rows(&rows, &wanted);
    assert_days_are_counted(log, &rows);
    free_rows(&rows);
    free_rows(&wanted);
}

static void step(struct model *model, struct passo_log *log)
{
    static const enum passo_event_type hands[] = {PASSO_LADDER_EASIER, PASSO_LADDER_HARDER,
                                                  PASSO_LADDER_TURN};
    uint32_t which = draw(model, 20);
    if (which == 0 || model->climbs == 0) {
        model_begin(model, log);
    } else if (which < 8) {
        model_played(model, log);
    } else if (which < 17) {
        model_change(model, log);
    } else if (which == 17) {
        struct passo_ladder_event hand = {.type = hands[draw(model, 3)]};
        passo_log_hand(log, &hand, model->climb[model->climbs - 1].passes);
    } else if (which == 18) {
        passo_log_end(log, (enum passo_outcome)(1 + draw(model, PASSO_OUTCOME_COUNT - 1)));
    }
}

static void run_seed(uint64_t seed)
{
    char *folder = new_folder();
    char *path = path_in(folder, "log.sqlite");
    static struct model model;
    char *passes = strdup("");
    char *changes = strdup("");
    model = (struct model){.now_ns = EVENING};
    passo_random_seed(&model.random, seed);
    struct passo_log *log = open_log(path, PASSO_LOG_KEEP);
    for (int i = 0; i < STEPS; i++) {
        step(&model, log);
        if (draw(&model, 6) && i + 1 < STEPS)
            continue;
        commit_log(log);
        if (draw(&model, 3) && i + 1 < STEPS)
            continue;
        compare(log, &model);
        if (model.rows) {
            assert_grew(&passes, path, PASS_TEXT);
            char *some = ask(path, "SELECT id FROM change");
            if (some)
                assert_grew(&changes, path, CHANGE_TEXT);
            free(some);
        }
    }
    passo_log_close(log);
    log = open_log(path, PASSO_LOG_LOOK);
    compare(log, &model);
    assert_true(model.rows > 10);
    passo_log_close(log);
    assert_sound(path);
    free(passes);
    free(changes);
    free(path);
    remove_folder(folder);
}

static void test_drawn_sequences(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++)
        run_seed(seed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_drawn_sequences),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
