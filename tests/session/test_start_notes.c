/* The notes, and what sounds beside them, in words before the first count-in; through the real
 * conductor in simulated time. */
#include "heard.h"

static bool was_said(const struct band *band, const char *line)
{
    for (size_t i = 0; i < band->lines; i++)
        if (band->kind[i] == PASSO_SAY_START && strcmp(band->line[i], line) == 0)
            return true;
    return false;
}

static void check_said(struct passo_setup *setup, const struct passo_climb_setup *how,
                       const char *line, const char *other)
{
    struct band *band = band_new();
    struct passo_climb_setup run = *how;
    heard_play(band, &run, setup, "");
    if (!was_said(band, line))
        for (size_t i = 0; i < band->lines; i++)
            print_error("%s\n", band->line[i]);
    assert_true(was_said(band, line));
    for (size_t i = 0; other && i < band->lines; i++)
        assert_null(strstr(band->line[i], other));
    band_free(band);
}

/* A triplet of eighths is a quarter, one of sixteenths an eighth; five sixteenths in the time of
 * four are a quarter, seven likewise (common practice). What has no such name is a share. */
static void tuplets_have_names(void **state)
{
    (void)state;
    static const struct {
        struct passo_ratio length;
        const char *name;
    } cases[] = {
        {{1, 12}, "triplet eighth"},
        {{1, 24}, "triplet sixteenth"},
        {{1, 6}, "triplet quarter"},
        {{1, 3}, "triplet half"},
        {{1, 20}, "quintuplet sixteenth"},
        {{1, 28}, "septuplet sixteenth"},
        {{1, 8}, "eighth"},
        {{3, 8}, "dotted quarter"},
        {{5, 8}, "quarter + dotted quarter"},
        {{5, 24}, "5/24"},
    };
    char line[128];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct passo_setup *setup = heard_setup((const char *[]){NULL});
        setup->notes.notes = 1;
        setup->notes.note[0].length = cases[i].length;
        snprintf(line, sizeof line, "Notes: bar 1: C 4 %s.", cases[i].name);
        check_said(setup, &(struct passo_climb_setup){0}, line, NULL);
        free(setup);
    }
    /* Rests too: the second eighth of the three is silent. */
    struct passo_setup *setup = heard_setup((const char *[]){NULL});
    setup->notes.notes = 2;
    setup->notes.note[0].length = passo_ratio(1, 12);
    setup->notes.note[1] =
        (struct passo_note){.at = passo_ratio(1, 6), .length = passo_ratio(1, 12), .pitch = {1, 4}};
    check_said(setup, &(struct passo_climb_setup){0},
               "Notes: bar 1: C 4 triplet eighth, triplet eighth rest, G 4 triplet eighth.", NULL);
    free(setup);
}

/* What lies before the first bar line is the pickup, and only its own rest is told. */
static void a_pickup_is_called_so(void **state)
{
    (void)state;
    struct passo_setup *setup = heard_setup((const char *[]){"pickup", "quarter", NULL});
    setup->notes.notes = 2;
    setup->notes.note[0] =
        (struct passo_note){.at = passo_ratio(-1, 4), .length = passo_ratio(1, 4), .pitch = {1, 4}};
    setup->notes.note[1] =
        (struct passo_note){.at = {0, 1}, .length = passo_ratio(1, 2), .pitch = {0, 4}};
    check_said(setup, &(struct passo_climb_setup){0},
               "Notes: pickup: G 4 quarter; bar 1: C 4 half.", "bar 0");
    setup->notes.note[0].at = passo_ratio(-1, 8);
    setup->notes.note[0].length = passo_ratio(1, 8);
    check_said(setup, &(struct passo_climb_setup){0},
               "Notes: pickup: eighth rest, G 4 eighth; bar 1: C 4 half.", NULL);
    free(setup);
    /* In a bar a rest at its beginning stays one. */
    setup = heard_setup((const char *[]){NULL});
    setup->notes.note[0].at = passo_ratio(1, 8);
    setup->notes.note[0].length = passo_ratio(1, 8);
    setup->notes.notes = 1;
    check_said(setup, &(struct passo_climb_setup){0}, "Notes: bar 1: eighth rest, C 4 eighth.",
               NULL);
    free(setup);
}

/* The part is written a major second above concert pitch. */
static void what_sounds_is_named(void **state)
{
    (void)state;
    struct passo_climb_setup run = {0};
    struct passo_setup *setup = heard_setup((const char *[]){NULL});
    struct passo_intonation *intonation = &setup->intonation;
    check_said(setup, &run, "Key: concert B-flat major; your C major.", "starting note");
    check_said(setup, &run, "Key: concert B-flat major; your C major.", "drone");
    intonation->starts = true;
    intonation->start = (struct passo_pitch){-1, 4};
    check_said(setup, &run, "Before each count-in the starting note, F 4.", NULL);
    intonation->drone = PASSO_DRONE_ROOT;
    check_said(setup, &run, "Under the playing a drone: C (concert B-flat).", NULL);
    intonation->drone = PASSO_DRONE_ROOT_AND_FIFTH;
    check_said(setup, &run, "Under the playing a drone: C and G (concert B-flat and F).", NULL);
    intonation->drone = PASSO_DRONE_NOTE;
    intonation->note = (struct passo_pitch){-2, 2};
    check_said(setup, &run, "Under the playing a drone: B-flat 2 (concert A-flat 2).", NULL);
    /* In D-flat major all of it is moved; what sounds is B major. */
    run.shift = passo_interval_of(1);
    intonation->drone = PASSO_DRONE_ROOT_AND_FIFTH;
    check_said(setup, &run, "Under the playing a drone: D-flat and A-flat (concert B and F-sharp).",
               NULL);
    check_said(setup, &run, "Before each count-in the starting note, G-flat 4.", NULL);
    run.shift = (struct passo_interval){0};
    intonation->transposition = 0;
    check_said(setup, &run, "Under the playing a drone: C and G.", "oncert");
    /* Where no note is named, that of what is heard; a loop has its own. */
    intonation->starts = false;
    intonation->hear = PASSO_HEAR_EVERY_PASS;
    check_said(setup, &run, "Before each count-in the starting note, C 4.", NULL);
    free(setup);
    setup = heard_setup((const char *[]){"loop", "second=2", NULL});
    setup->intonation.starts = true;
    check_said(setup, &run, "Before each count-in the starting note, C 4; of a loop its first.",
               NULL);
    setup->intonation.start_stays = true;
    check_said(setup, &run, "Before each count-in the starting note, C 4.", NULL);
    free(setup);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tuplets_have_names),
        cmocka_unit_test(a_pickup_is_called_so),
        cmocka_unit_test(what_sounds_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
