/* What the blocks of a routine are tuned to, and which drone sounds under them. */
#include "routine_tools.h"

#define TUNED                                                                                      \
    "[routine]\nreference = 442\ninstrument = B-flat trumpet\ndrone = root and fifth\n"            \
    "fifth = pure\n"
#define BLOCK(name, lines) "[block " name "]\nminutes = 2\ntempo = 60\n" lines

static const struct passo_intonation *tuning_of(const struct reading *reading, size_t block)
{
    return &reading->file.block[block].setup->intonation;
}

/* A block has what the routine says, unless it says otherwise. */
static void all_blocks_are_tuned_alike(void **state)
{
    struct reading reading;
    (void)state;
    read_text(&reading,
              TUNED BLOCK("a", "") BLOCK("b", "reference = A = 415\ninstrument = horn in F\n")
                  BLOCK("c", "transposition = 3\nfifth = equal\n"));
    assert_good(&reading);
    assert_string_equal(reading.file.reference_value, "442");
    assert_true(tuning_of(&reading, 0)->a4_hz == 442.0);
    assert_int_equal(tuning_of(&reading, 0)->transposition, -2);
    assert_true(tuning_of(&reading, 0)->pure_fifth);
    assert_true(tuning_of(&reading, 1)->a4_hz == 415.0);
    assert_int_equal(tuning_of(&reading, 1)->transposition, -7);
    assert_int_equal(tuning_of(&reading, 2)->transposition, 3);
    assert_false(tuning_of(&reading, 2)->pure_fifth);
    reading_end(&reading);
    read_text(&reading, BLOCK("a", ""));
    assert_good(&reading);
    assert_string_equal(reading.file.reference_value, "");
    assert_true(tuning_of(&reading, 0)->a4_hz == 440.0);
    reading_end(&reading);
}

static void assert_sounds(const char *text, enum passo_block_sound sound, enum passo_drone drone)
{
    struct reading reading;
    read_text(&reading, text);
    assert_good(&reading);
    assert_int_equal(reading.file.block[0].sound, sound);
    assert_int_equal(tuning_of(&reading, 0)->drone, drone);
    /* The key is the pass's. */
    assert_string_equal(reading.file.block[0].setup->passage.key, "");
    reading_end(&reading);
}

static void which_drone_sounds(void **state)
{
    (void)state;
    assert_sounds(BLOCK("a", ""), PASSO_SOUND_PULSE, PASSO_DRONE_NONE);
    assert_sounds(BLOCK("a", "keys = C\n"), PASSO_SOUND_PULSE, PASSO_DRONE_NONE);
    assert_sounds(BLOCK("a", "keys = C\nsound = drone\n"), PASSO_SOUND_DRONE, PASSO_DRONE_ROOT);
    assert_sounds(BLOCK("a", "keys = C\nsound = pulse and drone\ndrone = root and fifth\n"),
                  PASSO_SOUND_PULSE_AND_DRONE, PASSO_DRONE_ROOT_AND_FIFTH);
    /* A drone that a block names sounds; one that the routine names is the one that would. */
    assert_sounds(BLOCK("a", "keys = C\ndrone = root\n"), PASSO_SOUND_PULSE_AND_DRONE,
                  PASSO_DRONE_ROOT);
    assert_sounds(BLOCK("a", "drone = B-flat 2\n"), PASSO_SOUND_PULSE_AND_DRONE, PASSO_DRONE_NOTE);
    assert_sounds(BLOCK("a", "drone = none\n"), PASSO_SOUND_PULSE, PASSO_DRONE_NONE);
    assert_sounds(BLOCK("a", "drone = B-flat 2\nsound = drone\n"), PASSO_SOUND_DRONE,
                  PASSO_DRONE_NOTE);
    assert_sounds(BLOCK("a", "keys = C\ndrone = root\nsound = pulse\n"), PASSO_SOUND_PULSE,
                  PASSO_DRONE_NONE);
    assert_sounds(TUNED BLOCK("a", "keys = C\n"), PASSO_SOUND_PULSE, PASSO_DRONE_NONE);
    assert_sounds(TUNED BLOCK("a", ""), PASSO_SOUND_PULSE, PASSO_DRONE_NONE);
    assert_sounds(TUNED BLOCK("a", "keys = C\nsound = drone\n"), PASSO_SOUND_DRONE,
                  PASSO_DRONE_ROOT_AND_FIFTH);
    assert_sounds("[routine]\ndrone = C 3\n" BLOCK("a", "sound = drone\n"), PASSO_SOUND_DRONE,
                  PASSO_DRONE_NOTE);
}

static void assert_told(const char *text, const char *sentence)
{
    struct reading reading;
    read_text(&reading, text);
    assert_sentence(&reading, sentence);
    reading_end(&reading);
}

static void what_is_wrong_is_told_once(void **state)
{
    (void)state;
    assert_told("[routine]\nreference = 500\n" BLOCK("a", "") BLOCK("b", ""),
                "day.passo, line 2: reference = 500: the reference is what A 4 is tuned to, 415 to "
                "466 Hz: 442, or A = 442");
    assert_told(BLOCK("a", "drone = root\n"), "day.passo, line 4: drone = root: a drone is the "
                                              "keynote, and this block has no keys; say them: "
                                              "keys = C");
    assert_told(TUNED BLOCK("a", "sound = drone\n"),
                "day.passo, line 9: sound = drone: a drone is the keynote, and this block has no "
                "keys; say them: keys = C");
    assert_told("[routine]\nreference = 442\nreference = 440\n" BLOCK("a", ""),
                "day.passo, line 3: reference = 440: this is said already (line 2); one of them "
                "would do");
    assert_told("[routine]\nrefrence = 442\n" BLOCK("a", ""),
                "day.passo, line 2: refrence = 442: not known here; did you mean reference?");
    assert_told("[routine]\nmeter = 3/4\n" BLOCK("a", ""),
                "day.passo, line 2: meter = 3/4: this line belongs under a [block NAME]");
    assert_told(BLOCK("a", "hear = every pass\n"),
                "day.passo, line 4: hear = every pass: this is a passage's line; a routine has no "
                "place for it");
    assert_told(
        "[block a]\nminutes = 2\nfree = yes\nreference = 442\n",
        "day.passo, line 4: reference = 442: a free block has no pulse; leave this line out, "
        "or `free = yes`");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_blocks_are_tuned_alike),
        cmocka_unit_test(which_drone_sounds),
        cmocka_unit_test(what_is_wrong_is_told_once),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
