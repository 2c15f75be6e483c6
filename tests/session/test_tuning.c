/* Another key, and the key that sounds. Key names are common practice, from memory. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "session/tuning.h"
#include "text/routine.h"

static struct passo_key key_of(const char *name)
{
    struct passo_key key;
    assert_int_equal(passo_key_read(name, &key), PASSO_OK);
    return key;
}

/* Six signs stay as they come; seven and more are called by the twin that has fewer. */
static void what_sounds_is_called_as_usual(void **state)
{
    (void)state;
    static const struct {
        const char *written;
        int16_t transposition;
        const char *sounds;
    } cases[] = {
        {"B-flat major", -2, "A-flat major"},
        {"D-flat major", -2, "B major"},
        {"G-flat major", -2, "E major"},
        {"A-flat major", -2, "G-flat major"},
        {"F-sharp major", -9, "A major"},
        {"E major", -9, "G major"},
        {"F-sharp major", 1, "G major"},
        {"F-sharp major", -5, "D-flat major"},
        {"E major", -2, "D major"},
        {"B-flat minor", -2, "G-sharp minor"},
        {"F minor", -2, "E-flat minor"},
        {"E-flat minor", -2, "C-sharp minor"},
        {"C-sharp minor", -5, "G-sharp minor"},
        {"G-sharp minor", -5, "D-sharp minor"},
        {"C-flat major", -12, "B major"},
        {"C-sharp major", -12, "D-flat major"},
    };
    char name[PASSO_NAME_MAX];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const struct passo_intonation tuned = {.transposition = cases[i].transposition,
                                               .keyed = true,
                                               .key = key_of(cases[i].written)};
        passo_key_write(tuning_concert(&tuned), name, sizeof name);
        assert_string_equal(name, cases[i].sounds);
    }
}

/* C to G-flat and C to F-sharp are as far, and stay apart. */
static void an_interval_keeps_its_spelling(void **state)
{
    (void)state;
    const struct passo_intonation written = {
        .keyed = true, .key = {0, PASSO_MODE_MAJOR}, .note = {1, 2}, .start = {0, 4}};
    struct passo_key to = key_of("G-flat major");
    struct passo_intonation moved = tuning_moved(&written, passo_interval_between(written.key, to));
    assert_int_equal(moved.key.tonic, -6);
    assert_int_equal(moved.start.fifths, -6); /* G-flat 3 */
    assert_int_equal(moved.start.octave, 3);
    assert_int_equal(moved.note.fifths, -5); /* G 2: D-flat 2 */
    assert_int_equal(moved.note.octave, 2);
    to = key_of("F-sharp major");
    moved = tuning_moved(&written, passo_interval_between(written.key, to));
    assert_int_equal(moved.key.tonic, 6);
    assert_int_equal(moved.start.fifths, 6);
    assert_int_equal(moved.start.octave, 3);
    /* Seven signs that were asked for stay. */
    to = key_of("C-flat major");
    moved = tuning_moved(&written, passo_interval_between(written.key, to));
    assert_int_equal(moved.key.tonic, -7);
    assert_int_equal(moved.start.fifths, -7); /* C-flat 4 */
    assert_int_equal(moved.start.octave, 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_sounds_is_called_as_usual),
        cmocka_unit_test(an_interval_keeps_its_spelling),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
