/* What is written into a passage: every form of [shape], where it stands, and what a bad one is
 * told. */
#include "setup_tools.h"

static const struct passo_written *written_of(const struct trial *trial, size_t index)
{
    assert_true(index < trial->setup.passage.writtens);
    return &trial->setup.passage.written[index];
}

static void assert_written(const struct passo_written *written, enum passo_written_kind kind,
                           int64_t num, int64_t den)
{
    assert_int_equal(written->kind, kind);
    assert_ratio(written->share, num, den);
}

/* One line in eight bars of 4/4 from bar 1, beat a quarter; the only thing written. */
static struct passo_written one(const char *line)
{
    struct trial trial;
    char text[256];
    snprintf(text, sizeof text, "[passage]\nbars = 8\ntarget = 96\n[shape]\n%s\n", line);
    try_lines(&trial, text, NULL, true);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.passage.writtens, 1);
    struct passo_written written = trial.setup.passage.written[0];
    trial_end(&trial);
    return written;
}

static void reads_tempi(void **state)
{
    struct passo_written written = one("bar 7 = tempo 80 %");
    (void)state;
    assert_written(&written, PASSO_WRITTEN_TEMPO, 4, 5);
    assert_place(written.from, 7, 0, 1);
    assert_place(written.to, 7, 0, 1);
    written = one("bar 7.3 = tempo 112.5 %");
    assert_written(&written, PASSO_WRITTEN_TEMPO, 9, 8);
    assert_place(written.from, 7, 1, 2);
    written = one("bar 8 = a tempo");
    assert_written(&written, PASSO_WRITTEN_TEMPO, 1, 1);
    written = one("bar 1 = tempo 80 %");
    assert_place(written.from, 1, 0, 1);
    written = one("bar 5 = quarter = dotted quarter");
    assert_written(&written, PASSO_WRITTEN_SAME_NOTE, 3, 2);
    written = one("bar 5 = meter 6/8, quarter = dotted quarter");
    assert_written(&written, PASSO_WRITTEN_SAME_NOTE, 3, 2);
    written = one("bar 5 = meter 2/2, half=quarter");
    assert_written(&written, PASSO_WRITTEN_SAME_NOTE, 1, 2);
}

static void reads_what_goes_on(void **state)
{
    static const char *const to[] = {
        "bars 5-6 = to 70 %",          "bars 5-6 = rit. to 70 %", "Bars 5-6 = rit to 70%",
        "bars 5 - 6 = accel. to 70 %", "bars 5.1-6.4 = to 70 %",
    };
    (void)state;
    for (size_t i = 0; i < sizeof to / sizeof *to; i++) {
        struct passo_written written = one(to[i]);
        assert_written(&written, PASSO_WRITTEN_TO, 7, 10);
        assert_place(written.from, 5, 0, 1);
        assert_place(written.to, 7, 0, 1);
    }
    struct passo_written written = one("bar 5.2 = to 110 %");
    assert_place(written.from, 5, 1, 4);
    assert_place(written.to, 5, 1, 2);
    written = one("bar 6 = silent");
    assert_written(&written, PASSO_WRITTEN_SILENT, 1, 1);
    assert_place(written.to, 7, 0, 1);
    written = one("bars 6-7.2 = silent");
    assert_place(written.to, 7, 1, 2);
}

static void reads_fermatas_and_breaths(void **state)
{
    struct passo_written written = one("bar 6 = fermata");
    (void)state;
    assert_written(&written, PASSO_WRITTEN_FERMATA, 2, 1);
    assert_int_equal(written.beats, 1);
    assert_place(written.from, 6, 0, 1);
    assert_place(written.to, 7, 0, 1);
    written = one("bar 6 = fermata x 1.5");
    assert_written(&written, PASSO_WRITTEN_FERMATA, 3, 2);
    assert_int_equal(written.beats, 1);
    written = one("bars 6.1-6.2 = fermata x 2, then 2 beats");
    assert_int_equal(written.beats, 2);
    assert_place(written.to, 6, 1, 2);
    written = one("bar 6.4 = fermata, then 0 beats");
    assert_int_equal(written.beats, 0);
    assert_place(written.from, 6, 3, 4);
    assert_place(written.to, 7, 0, 1);
    written = one("bar 4.4 = breath 1 beat");
    assert_written(&written, PASSO_WRITTEN_BREATH, 1, 1);
    assert_place(written.from, 4, 3, 4);
    assert_place(written.to, 4, 3, 4);
    written = one("bar 4 = breath 0.5 beats");
    assert_written(&written, PASSO_WRITTEN_BREATH, 1, 2);
    written = one("bar 4 = breath");
    assert_written(&written, PASSO_WRITTEN_BREATH, 1, 1);
}

/* Lines stand in any order; what is placed stands as it is played, and in the meters of its bars.
 */
static void puts_them_in_order(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"shape", "bar 9=meter 3/4, a tempo", NULL};
    try_lines(
        &trial,
        "[passage]\nbars = 4-11\npickup = quarter\nbeat = quarter\n[shape]\n"
        "bar 10 = silent\nbar 8 = meter 2/4, fermata x 2, then 1 beat\n"
        "bars 6-7 = to 75 %\nbar 3.4 = breath 2 beats\nbar 5 = meter 3/4\nbar 5.3 = tempo 90 %\n",
        options, false);
    assert_no_faults(&trial);
    assert_int_equal(trial.setup.passage.changes, 3);
    assert_int_equal(trial.setup.passage.writtens, 6);
    assert_written(written_of(&trial, 0), PASSO_WRITTEN_BREATH, 2, 1);
    assert_place(written_of(&trial, 0)->from, 3, 3, 4);
    assert_written(written_of(&trial, 1), PASSO_WRITTEN_TEMPO, 9, 10);
    assert_place(written_of(&trial, 1)->from, 5, 1, 2);
    assert_written(written_of(&trial, 2), PASSO_WRITTEN_TO, 3, 4);
    assert_place(written_of(&trial, 2)->to, 8, 0, 1);
    assert_written(written_of(&trial, 3), PASSO_WRITTEN_FERMATA, 2, 1);
    assert_place(written_of(&trial, 3)->to, 9, 0, 1);
    assert_written(written_of(&trial, 4), PASSO_WRITTEN_TEMPO, 1, 1);
    assert_written(written_of(&trial, 5), PASSO_WRITTEN_SILENT, 1, 1);
    trial_end(&trial);
}

/* In four bars of 4/4, on line 4 and, if two, on line 5, where the fault is. */
static void assert_refused(const char *lines, const char *read, const char *would_do)
{
    struct trial trial;
    char text[512];
    char place[64];
    snprintf(text, sizeof text, "[passage]\ntarget = 96\n[shape]\n%s\n", lines);
    snprintf(place, sizeof place, "march.passo, line %d: ", strchr(lines, '\n') ? 5 : 4);
    try_lines(&trial, text, NULL, true);
    assert_fault_says(&trial, place, read, would_do);
    trial_end(&trial);
}

/* At one place: a breath, the new tempo, then what goes on, in whatever order they are written. */
static void puts_one_place_in_order(void **state)
{
    struct trial trial;
    (void)state;
    const char *const options[] = {"shape", "bar 2=to 70 %, tempo 90 %, silent, breath", NULL};
    try_lines(&trial, NULL, options, false);
    assert_no_faults(&trial);
    static const enum passo_written_kind want[] = {PASSO_WRITTEN_BREATH, PASSO_WRITTEN_TEMPO,
                                                   PASSO_WRITTEN_TO, PASSO_WRITTEN_SILENT};
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_int_equal(written_of(&trial, i)->kind, want[i]);
    trial_end(&trial);
}

/* The fault is told of the last line. */
static const struct {
    const char *lines;
    const char *read;
    const char *would_do;
} bad[] = {
    {"bar 3 = quicker", "bar 3 = quicker: ", "what is written there is meter 3/4"},
    {"bar 3 = ,", "bar 3 = ,: ", "what is written there"},
    {"third bar = a tempo", "third bar = a tempo: ", "bar 5, bar 5.3 or bars 9-10"},
    {"bar three = a tempo", "bar three", "1-2"},
    {"bar 3.5 = a tempo", "bar 3.5", "bar 3 has no beat 5: 4 beats fill it"},
    {"bar 5 = a tempo", "bar 5 = a tempo", "bars 1 to 4"},
    {"bars 4-5 = to 70 %", "bars 4-5", "bars 1 to 4"},
    {"bars 3-2 = to 70 %", "bars 3-2", "turn them round"},
    {"bars 2-3 = tempo 80 %", "bars 2-3", "at one place"},
    {"bars 2-3 = breath", "bars 2-3", "at one place"},
    {"bars 2-3 = meter 3/4", "bars 2-3", "a meter begins with a bar"},
    {"bar 2.3 = meter 3/4", "bar 2.3", "a meter begins with a bar"},
    {"bar 2 = tempo 5 %", "tempo 5 %", "at least a sixteenth"},
    {"bar 2 = tempo 1601 %", "tempo 1601 %", "at most 16 times"},
    {"bar 2 = fermata x 17", "fermata x 17", "at most 16 times"},
    {"bar 2 = fermata x 0", "fermata x 0", "at least a sixteenth"},
    {"bar 2 = fermata, then 17 beats", "then 17 beats", "0 to 16 beats"},
    {"bar 2 = a tempo, then 2 beats", "then 2 beats", "follow a fermata"},
    {"bar 2 = then 2 beats", "then 2 beats", "follow a fermata"},
    {"bar 2 = breath 0 beats", "breath 0 beats", "at least a sixteenth"},
    {"bar 2 = whole = sixty-fourth", "whole = sixty-fourth", "a sixteenth"},
    {"bar 2 = 1/1 = 1/64", "1/1 = 1/64", "at least a sixteenth"},
    {"bar 2 = tempo 80 %\nbar 2.1 = a tempo", "bar 2.1", "already"},
    {"bar 2 = tempo 80 %, quarter = half", "quarter = half", "has a tempo already"},
    {"bars 1-2 = to 80 %\nbars 2-3 = to 60 %", "bars 2-3", "before what is written earlier"},
    {"bars 1-2 = to 80 %\nbar 2 = fermata", "bar 2 = fermata", "before what is written"},
    {"bars 1-2 = to 80 %\nbar 2 = a tempo", "bar 2 = a tempo", "not in it"},
    {"bar 2 = fermata\nbar 2.3 = breath", "bar 2.3 = breath", "not in it"},
    {"bar 2 = quarter = half, silent\nbar 3 = 1/16 = 3/4", "bar 3", "at most 16 times"},
};

static void refuses_lines(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_refused(bad[i].lines, bad[i].read, bad[i].would_do);
}

static void refuses_more_than_can_be_held(void **state)
{
    struct trial trial;
    char text[8192] = "[passage]\nbars = 100\n[shape]\n";
    (void)state;
    for (int bar = 1; bar <= 65; bar++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "bar %d = silent\n", bar);
    try_lines(&trial, text, NULL, false);
    assert_fault_says(&trial, "march.passo, line 68: ", "bar 65 = silent", "at most 64");
    trial_end(&trial);
    /* Same notes one after another whose product no engine holds. */
    try_lines(&trial, "[passage]\nbars = 100\n[shape]\nbars 10-74 = fermata\n", NULL, false);
    assert_fault_says(&trial, "march.passo, line 4: ", "fermata", "at most 64 whole notes");
    trial_end(&trial);
    strcpy(text, "[passage]\nbars = 100\n[shape]\n");
    for (int bar = 1; bar <= 40; bar++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "bar %d = 127/256 = half\n", bar);
    try_lines(&trial, text, NULL, false);
    assert_fault_says(&trial, "march.passo, line 6: ", "bar 3 = 127/256", "tempo 80 % would do");
    trial_end(&trial);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_tempi),
        cmocka_unit_test(reads_what_goes_on),
        cmocka_unit_test(reads_fermatas_and_breaths),
        cmocka_unit_test(puts_them_in_order),
        cmocka_unit_test(puts_one_place_in_order),
        cmocka_unit_test(refuses_lines),
        cmocka_unit_test(refuses_more_than_can_be_held),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
