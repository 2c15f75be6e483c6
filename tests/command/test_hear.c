/* The keys of `passo hear`, and the note by which each is told. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "command/hear_parts.h"

static void keys_are(const char *text, enum passo_cycle_kind kind, size_t count, int second)
{
    struct passo_cycle cycle;
    assert_int_equal(hear_keys_read(text, PASSO_MODE_MAJOR, &cycle), kind != PASSO_CYCLE_NONE);
    assert_int_equal(cycle.kind, kind);
    assert_int_equal(passo_cycle_length(&cycle), count);
    if (count > 1)
        assert_int_equal(passo_key_pitch_class(passo_cycle_key(&cycle, 1)), second);
}

static void keys_are_read(void **unused)
{
    (void)unused;
    keys_are("fourths", PASSO_CYCLE_FOURTHS, 12, 5);
    keys_are("Fifths", PASSO_CYCLE_FIFTHS, 12, 7);
    keys_are("chromatic", PASSO_CYCLE_CHROMATIC_UP, 12, 1);
    keys_are("chromatic up", PASSO_CYCLE_CHROMATIC_UP, 12, 1);
    keys_are("chromatic down", PASSO_CYCLE_CHROMATIC_DOWN, 12, 11);
    keys_are("F, B-flat", PASSO_CYCLE_LIST, 2, 10);
    keys_are("E minor", PASSO_CYCLE_LIST, 1, 0);
    keys_are("", PASSO_CYCLE_NONE, 0, 0);
    keys_are("thirds", PASSO_CYCLE_NONE, 0, 0);
    keys_are("F, what", PASSO_CYCLE_NONE, 0, 0);
}

static void keys_have_one_mode(const char *text, enum passo_mode mode, const char *other)
{
    char said[32] = "";
    assert_int_equal(hear_keys_other(text, mode, said, sizeof said), other != NULL);
    if (other)
        assert_string_equal(said, other);
}

/* Every key is of the passage's mode and spelt for it: twelve semitones up from C are the minor
 * keys of common practice (key.h). A mode that is said and is the other is found. */
static void keys_have_the_passages_mode(void **unused)
{
    (void)unused;
    static const int chromatic[] = {0, 7, 2, -3, 4, -1, 6, 1, 8, 3, -2, 5};
    struct passo_cycle cycle;
    assert_true(hear_keys_read("chromatic up", PASSO_MODE_MINOR, &cycle));
    for (size_t i = 0; i < 12; i++) {
        assert_int_equal(passo_cycle_key(&cycle, i).tonic, chromatic[i]);
        assert_int_equal(passo_cycle_key(&cycle, i).mode, PASSO_MODE_MINOR);
    }
    assert_true(hear_keys_read("F, B-flat, E minor", PASSO_MODE_MINOR, &cycle));
    assert_int_equal(passo_cycle_length(&cycle), 3);
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(passo_cycle_key(&cycle, i).mode, PASSO_MODE_MINOR);
    keys_have_one_mode("F, B-flat", PASSO_MODE_MINOR, NULL);
    keys_have_one_mode("F, B-flat", PASSO_MODE_MAJOR, NULL);
    keys_have_one_mode("F minor, Bbm, E min", PASSO_MODE_MINOR, NULL);
    keys_have_one_mode("F, B-flat major", PASSO_MODE_MINOR, "B-flat major");
    keys_have_one_mode("FM", PASSO_MODE_MINOR, "FM");
    keys_have_one_mode(", F,, Dm, E minor", PASSO_MODE_MAJOR, "Dm");
    keys_have_one_mode("fourths", PASSO_MODE_MINOR, NULL);
    keys_have_one_mode("", PASSO_MODE_MINOR, NULL);
}

/* The tonic lies at the first note of the loop or next under it: E-flat major from a B-flat 3 on is
 * told by the E-flat 3, a fifth below; B-flat major by that note itself. */
static void the_tonic_is_near(void **unused)
{
    (void)unused;
    static const struct {
        struct passo_pitch first;
        int8_t tonic;
        int midi;
    } cases[] = {
        {{-2, 3}, -3, 51}, /* B-flat 3, E-flat major: E-flat 3 */
        {{-2, 3}, -2, 58}, /* B-flat major: itself */
        {{0, 4}, 5, 59},   /* C 4, B major: B 3 */
        {{5, 3}, 0, 48},   /* B 3, C major: C 3 */
        {{5, 3}, -7, 59},  /* B 3, C-flat major: C-flat 4, which is the same key */
        {{0, 4}, 12, 60},  /* C 4, B-sharp: B-sharp 3 */
    };
    struct passo_setup *setup = calloc(1, sizeof *setup);
    setup->passage = (struct passo_passage){.first_bar = 1, .bars = 2, .beat = {1, 4}};
    assert_int_equal(passo_meter_init(&setup->passage.meter, 4, 4), 0);
    setup->passage.pickup = (struct passo_ratio){0, 1};
    assert_int_equal(passo_passage_complete(&setup->passage), PASSO_OK);
    setup->notes.notes = 1;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        setup->notes.note[0] =
            (struct passo_note){.at = {0, 1}, .length = {1, 4}, .pitch = cases[i].first};
        setup->intonation.key.tonic = cases[i].tonic;
        const struct passo_pitch tonic = hear_tonic(setup, &setup->passage.loop[0]);
        assert_int_equal(tonic.fifths, cases[i].tonic);
        assert_int_equal(passo_pitch_midi(tonic), cases[i].midi);
    }
    free(setup);
}

static void a_key_is_told(void **unused)
{
    (void)unused;
    struct passo_setup *own = calloc(2, sizeof *own);
    struct passo_setup *heard = own + 1;
    own->passage =
        (struct passo_passage){.title = "Jig", .first_bar = 1, .bars = 2, .beat = {1, 4}};
    assert_int_equal(passo_meter_init(&own->passage.meter, 4, 4), 0);
    own->passage.pickup = (struct passo_ratio){0, 1};
    assert_int_equal(passo_passage_complete(&own->passage), PASSO_OK);
    own->notes.notes = 1;
    own->notes.note[0] =
        (struct passo_note){.at = {0, 1}, .length = {1, 4}, .pitch = {-2, 3}}; /* B-flat 3 */
    own->intonation.key.tonic = -3;
    hear_in_key(own, (struct passo_key){-1, PASSO_MODE_MINOR}, heard);
    assert_string_equal(heard->passage.title, "F minor");
    assert_string_equal(heard->passage.piece, "Jig");
    assert_true(heard->intonation.starts);
    assert_true(heard->intonation.start_stays);
    assert_int_equal(passo_pitch_midi(heard->intonation.start), 51); /* E-flat 3, unmoved */
    assert_int_equal(heard->intonation.key.tonic, -3);
    free(own);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_are_read),
        cmocka_unit_test(keys_have_the_passages_mode),
        cmocka_unit_test(the_tonic_is_near),
        cmocka_unit_test(a_key_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
