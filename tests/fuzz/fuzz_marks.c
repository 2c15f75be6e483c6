/* Bytes as a whole evening: which lines the passage has, which keys are pressed when, and a script
 * of marks, played by the real conductor in simulated time. The climb ends, its result is in
 * order, and its session CSV reads back with one row a pass. */
#include "fuzz.h"

#include "session/climb.h"
#include "store/csv_read.h"

#include <unistd.h>

enum { LINES_DRAWN = 12, PRESSES_MAX = 24, VALUES = 8 };

/* Values of some settings; the input chooses. The passages are short, the ladders are all kinds. */
static const struct {
    const char *key;
    const char *value[VALUES];
} pool[] = {
    {"meter", {"4/4", "3/4", "6/8", "2+2+3/8", "5/4", "12/8", "2/2", "1/4"}},
    {"bars", {"1", "2", "33-36", "3", "8", "1-1", "4", "2"}},
    {"pickup", {"none", "eighth", "1 beat", "none", "none", "none", "none", "none"}},
    {"target", {"96", "200", "60", "12", "1000", "5", "132", "63.7"}},
    {"shape",
     {"bar 2=meter 3/4", "bar 2=tempo 80 %", "bars 1-2=to 70 %", "bar 2=fermata x 2, then 1 beat",
      "bar 2.2=breath 1 beat", "bar 2=silent", "bar 1=silent", "bar 2=quarter = dotted quarter"}},
    {"loop", {"a=1", "b=2", "a=1-2", "c=1.2-2.1", "a=2-3", "b=4", "d=1", "=1+1=1"}},
    {"chain",
     {"forward by 1 bar", "backward by beat", "halves", "pieces of 2 bars",
      "halves, overlapping the landing", "pieces of 2 bars, overlapping 1 beat",
      "halves, overlapping 1 beat", "pieces of 1 bar"}},
    {"variant",
     {"low=octave -1", "tongued=tongued", "high=octave 2", "low=octave -2, slurred",
      "@cmd=as written", "a,b=\"quoted\"", "soft=soft", "x=x"}},
    {"climbs",
     {"tempo", "length", "mixed", "edge within 4 bpm", "edge within 1 bpm", "mixed", "length",
      "tempo"}},
    {"start", {"60 %", "48", "100 %", "90 %", "10 %", "5", "96", "50 %"}},
    {"steps",
     {"4 bpm", "5 %", "10 points", "8 rungs", "marks", "third of the rest", "50 60,70 96",
      "1 bpm"}},
    {"raise",
     {"2 clean in a row", "1 clean", "3 clean of 4", "5 coins", "5 clean in a row", "1 clean of 1",
      "2 coins", "10 clean of 32"}},
    {"drop",
     {"1 rung after 2 misses", "hold", "to start after 3 misses here", "2 rungs after 1 miss",
      "1 rung after 2 misses in a row here", "1 rung after 1 miss here", "to start after 1 miss",
      "3 rungs after 2 misses"}},
    {"miss",
     {"again", "first turn", "again", "first turn", "again", "first turn", "again", "again"}},
    {"lift", {"1", "2 -1", "3 -1", "2 -1 -1 1", "2", "5 -3", "1 1 -1", "8"}},
    {"turn",
     {"every rung", "every pass", "whole climb", "every pass", "whole climb", "every rung",
      "every pass", "whole climb"}},
    {"anchor", {"none", "60 %", "100 %", "50 %", "none", "none", "60 %", "200 %"}},
    {"over",
     {"none", "1 at 105 %", "3 at 110 %", "2 at 50 %", "none", "1 at 200 %", "none",
      "1 at 100.1 %"}},
    {"close", {"none", "2 clean", "thinning", "1 clean", "thinning", "9 clean", "none", "none"}},
    {"finish",
     {"1 in context", "none", "3 in context", "1 in context, 1 at 60 %", "1 at 60 %", "2 at 50 %",
      "none", "1 in context"}},
    {"plateau",
     {"2 drops", "none", "1 drop", "2 drops, then 2 clean", "1 drop, then 1 clean", "9 drops",
      "none", "none"}},
    {"tired",
     {"3 misses of 5", "none", "1 miss of 1", "15 min played", "1 min played", "none", "none",
      "32 misses of 32"}},
    {"stop",
     {"20 min", "none", "12 passes", "5 misses in a row", "3 min, 6 passes", "1 min", "none",
      "none"}},
    {"unmarked", {"hold", "wait", "clean", "miss", "clean", "wait", "miss", "hold"}},
    {"rest",
     {"as played", "10 s", "1.5 x played, at most 30 s", "0.1 x played, at least 1 s", "1 s",
      "as played, at least 8 s", "60 s", "10 x played"}},
    {"ceiling", {"none", "80", "60", "Tue 70", "Wed 70", "2026-12-01 90", "200", "70"}},
    {"cold", {"no", "yes", "yes", "no", "yes", "no", "yes", "no"}},
    {"on-miss",
     {"play on", "break off", "break off", "play on", "break off", "break off", "break off",
      "break off"}},
    {"count",
     {"eighth", "groups", "eighth below 60", "quarter", "half", "sixteenth", "whole", "eighth"}},
    {"subdivide", {"none", "2", "3 below 80", "4", "6", "5", "2", "3"}},
    {"count-in", {"auto", "1 bar", "2 bars", "4 bars", "1 bar", "2 bars", "auto", "auto"}},
    {"leave-out",
     {"none", "bar, sub", "count-in", "bar, group, beat, sub, count-in", "beat", "group", "sub",
      "bar"}},
    {"mute",
     {"none", "2 of 4", "30 % of bars", "1 of 2", "100 % of bars", "63 of 64", "1 % of bars",
      "none"}},
    {"thin", {"none", "halves", "bars", "two bars", "count-in only", "none", "none", "bars"}},
    {"place",
     {"on the beat", "off the beat", "2 and 4", "off the beat", "2 and 4", "on the beat",
      "on the beat", "off the beat"}},
    {"preset",
     {"halves", "find-the-edge", "mixed-tempi", "bar-by-bar", "less-click", "octave-pair",
      "in-pieces", "from-the-end"}},
    {"stage",
     {"one: loop = a", "two: start = 80 % of lower result", "two: climbs = mixed",
      "one: climbs = edge within 4 bpm", "three: loop = whole",
      "three: target = 90 % of last result", "one: stop = 3 passes", "two: turn = whole climb"}},
    {"title", {"march", "=1+1", "a\"b", "a,b", "'x", "-1", "@x", "\"=1\""}},
};
enum { POOL = sizeof pool / sizeof pool[0] };

/* --- the input --- */

struct input {
    const uint8_t *at;
    size_t left;
};

static uint8_t next_byte(struct input *input)
{
    if (!input->left)
        return 0;
    input->left--;
    return *input->at++;
}

/* Adds a line, and takes it back if it does not go with those before. */
static void try_line(struct passo_lines *lines, const char *key, const char *value)
{
    static struct passo_setup setup;
    struct passo_faults faults = {0};
    const size_t before = lines->lines;
    passo_lines_add_option(lines, key, value, &faults);
    passo_setup_resolve(lines, true, &setup, &faults);
    fuzz_check_faults(&faults);
    if (faults.faults && strcmp(key, "preset") != 0 && lines->lines > before)
        passo_lines_take_back(lines);
    passo_faults_deinit(&faults);
}

static void draw_lines(struct input *input, struct passo_lines *lines)
{
    try_line(lines, "target", "96");
    for (uint8_t left = next_byte(input) % LINES_DRAWN; left; left--) {
        const size_t i = next_byte(input) % POOL;
        try_line(lines, pool[i].key, pool[i].value[next_byte(input) % VALUES]);
    }
}

/* --- the view: presses at their times, lines that are looked at --- */

struct hands {
    struct passo_view view;
    struct passo_press press[PRESSES_MAX];
    size_t presses;
    size_t taken;
    size_t ends;
};

static void draw_presses(struct input *input, struct hands *hands)
{
    int64_t at_ns = 0;
    for (uint8_t left = next_byte(input) % PRESSES_MAX; left; left--) {
        at_ns += next_byte(input) * INT64_C(130000000);
        const uint8_t key = next_byte(input);
        hands->press[hands->presses++] = (struct passo_press){
            .command = (enum passo_command)(key % PASSO_COMMAND_COUNT), .key = key, .at_ns = at_ns};
    }
}

static void hands_draw(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    (void)view;
    FUZZ_CHECK(snapshot->phase < PASSO_PHASE_COUNT && snapshot->points <= PASSO_CURVE_POINTS);
    FUZZ_CHECK(fuzz_is_clean(snapshot->title) && fuzz_is_clean(snapshot->what));
    FUZZ_CHECK(fuzz_is_clean(snapshot->next) && fuzz_is_clean(snapshot->move));
    FUZZ_CHECK(fuzz_is_clean(snapshot->count) && fuzz_is_clean(snapshot->notice));
    FUZZ_CHECK(snapshot->rung < snapshot->ladder->rungs && snapshot->stage < snapshot->stages);
}

static void hands_say(struct passo_view *view, enum passo_say kind, const char *line)
{
    FUZZ_CHECK(kind < PASSO_SAY_COUNT && line[0] && fuzz_is_clean(line));
    ((struct hands *)view)->ends += kind == PASSO_SAY_END;
}

static int64_t hands_due(struct passo_view *view)
{
    const struct hands *hands = (const struct hands *)view;
    return hands->taken == hands->presses ? INT64_MAX : hands->press[hands->taken].at_ns;
}

static bool hands_press(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    struct hands *hands = (struct hands *)view;
    if (hands_due(view) > now_ns)
        return false;
    *out_press = hands->press[hands->taken++];
    return true;
}

static const struct passo_view_ops hands_ops = {.name = "hands",
                                                .draw = hands_draw,
                                                .say = hands_say,
                                                .press = hands_press,
                                                .due_ns = hands_due};

/* --- the record --- */

struct rows {
    const char *title;
    size_t count;
};

static const char *take_row(void *user, const struct passo_row *row)
{
    struct rows *rows = user;
    rows->count++;
    FUZZ_CHECK(!strcmp(row->passage, rows->title));
    return NULL;
}

static void take_fault(void *user, const char *sentence)
{
    (void)user;
    fprintf(stderr, "%s\n", sentence);
    FUZZ_CHECK(false);
}

static void check_record(const char *path, const struct passo_setup *setup, uint32_t passes)
{
    char fault[512];
    struct rows rows = {.title = setup->passage.title};
    const struct passo_csv_taker taker = {.user = &rows, .row = take_row, .fault = take_fault};
    FUZZ_CHECK(passo_csv_read(path, &taker, fault, sizeof fault) == PASSO_OK);
    FUZZ_CHECK(rows.count == passes);
}

/* Simulated time at the lowest rate, for which the sounds are soonest made. */
static enum passo_error open_low(const struct passo_output_ask *ask,
                                 struct passo_output **out_output, char *out_fault,
                                 size_t fault_bytes)
{
    struct passo_output_ask low = *ask;
    low.rate_hz = PASSO_RATE_MIN_HZ;
    return passo_output_simulated.open(&low, out_output, out_fault, fault_bytes);
}

static void climb(const struct passo_setup *setup, struct hands *hands, struct passo_marker *marker)
{
    struct passo_climb_result result;
    char path[FUZZ_PATH_BYTES];
    char fault[512];
    struct passo_output_ops output = passo_output_simulated;
    output.open = open_low;
    int fd = fuzz_file("", 0, path);
    struct passo_climb_setup run = {
        .setup = setup, .output = &output, .view = &hands->view, .marker = marker, .player = ""};
    FUZZ_CHECK(passo_csv_open(path, true, &run.csv, fault, sizeof fault) == PASSO_OK);
    FUZZ_CHECK(passo_climb_run(&run, &result, fault, sizeof fault) == PASSO_OK);
    FUZZ_CHECK(passo_csv_close(run.csv) == PASSO_OK);
    FUZZ_CHECK(result.outcome != PASSO_OUTCOME_OPEN && result.outcome < PASSO_OUTCOME_COUNT);
    FUZZ_CHECK(result.best_mbpm >= PASSO_TEMPO_MIN_MBPM);
    FUZZ_CHECK(result.best_mbpm <= PASSO_TEMPO_MAX_MBPM);
    FUZZ_CHECK(!result.csv_failed && result.elapsed_ns >= 0 && fuzz_is_clean(result.words));
    FUZZ_CHECK(hands->ends == 1);
    check_record(path, setup, result.passes);
    close(fd);
}

static void run_script(const struct input *input, const struct passo_setup *setup,
                       struct hands *hands)
{
    struct passo_marker marker;
    char path[FUZZ_PATH_BYTES];
    char fault[512] = "";
    int fd = fuzz_file(input->at, input->left, path);
    if (passo_marker_script(&marker, path, fault, sizeof fault) == PASSO_OK) {
        climb(setup, hands, &marker);
        passo_marker_deinit(&marker);
    } else {
        FUZZ_CHECK(fault[0]);
    }
    close(fd);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct passo_setup setup;
    struct passo_lines lines = {.today_yyyymmdd = FUZZ_TODAY};
    struct passo_faults faults = {0};
    struct hands hands = {.view = {&hands_ops}};
    struct input input = {data, bytes};
    fuzz_memory_begin();
    draw_lines(&input, &lines);
    draw_presses(&input, &hands);
    passo_setup_resolve(&lines, true, &setup, &faults);
    if (faults.faults == 0)
        run_script(&input, &setup, &hands);
    passo_lines_deinit(&lines);
    passo_faults_deinit(&faults);
    fuzz_memory_end();
    return 0;
}
