/* Note values, tempi, meters and untrusted text: tables of what is read, and that what is written
 * reads back to the same value. */
#include "setup_tools.h"

/* Reproducible: a linear congruential generator (Knuth's MMIX constants, from memory). */
static uint64_t chance_state = 1;

static uint32_t chance(uint32_t below)
{
    chance_state = chance_state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(chance_state >> 33) % below;
}

/* The lengths of the notes and their two sets of names are common practice. */
static void reads_note_values(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t num;
        int64_t den;
    } good[] = {
        {"quarter", 1, 4},
        {"  Quarter  ", 1, 4},
        {"quarter note", 1, 4},
        {"quarters", 1, 4},
        {"crotchet", 1, 4},
        {"dotted quarter", 3, 8},
        {"dotted   crotchet", 3, 8},
        {"dotted-quarter", 3, 8},
        {"double dotted quarter", 7, 16},
        {"double-dotted minim", 7, 8},
        {"eighth", 1, 8},
        {"quaver", 1, 8},
        {"half", 1, 2},
        {"minim", 1, 2},
        {"whole", 1, 1},
        {"semibreve", 1, 1},
        {"breve", 2, 1},
        {"sixteenth", 1, 16},
        {"semiquaver", 1, 16},
        {"thirty-second", 1, 32},
        {"demisemiquaver", 1, 32},
        {"sixty-fourth", 1, 64},
        {"hemidemisemiquaver", 1, 64},
        {"dotted sixteenth", 3, 32},
        {"3/8", 3, 8},
        {" 2 / 8 ", 1, 4},
        {"quarter + dotted quarter", 5, 8},
        {"half+eighth", 5, 8},
        {"1/4 + quaver", 3, 8},
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct passo_ratio value = {0, 0};
        assert_int_equal(passo_note_value_read(good[i].text, &value), PASSO_OK);
        assert_ratio(value, good[i].num, good[i].den);
    }
    static const char *const bad[] = {
        "",
        "dotted",
        "double quarter",
        "quarterly",
        "quarter quarter",
        "4",
        "1/0",
        "0/4",
        "1/3",
        "-1/4",
        "9/1",
        "1/512",
        "quarter +",
        "+ quarter",
        "quarter + quarter + eighth",
        "quarter=",
        "dotted 3/8",
        "1.5/4",
        "99999999999999999999/4",
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct passo_ratio value;
        assert_int_equal(passo_note_value_read(bad[i], &value), PASSO_ERR_SYNTAX);
    }
    char huge[5000];
    struct passo_ratio value;
    memset(huge, 'q', sizeof huge - 1);
    huge[sizeof huge - 1] = '\0';
    assert_int_equal(passo_note_value_read(huge, &value), PASSO_ERR_SYNTAX);
}

static void writes_note_values(void **state)
{
    (void)state;
    char text[64];
#define WRITES(num, den, words)                                                                    \
    assert_string_equal(passo_note_value_write(passo_ratio(num, den), text, sizeof text), words)
    WRITES(1, 4, "quarter");
    WRITES(3, 8, "dotted quarter");
    WRITES(7, 16, "double dotted quarter");
    WRITES(5, 8, "quarter + dotted quarter"); /* 5/8 counted in one, as parts print it */
    WRITES(1, 1, "whole");
    WRITES(9, 8, "dotted quarter + dotted half");
    WRITES(29, 64, "29/64");
    WRITES(1, 3, "1/3");
#undef WRITES
    passo_note_value_write(passo_ratio(3, 8), text, 7);
    assert_string_equal(text, "dotted");
}

/* Every plain value of up to four whole notes, by 256ths. */
static void every_note_value_reads_back(void **state)
{
    (void)state;
    for (int64_t num = 1; num <= 1024; num++) {
        char text[64];
        struct passo_ratio value = {0, 0};
        passo_note_value_write(passo_ratio(num, 256), text, sizeof text);
        assert_int_equal(passo_note_value_read(text, &value), PASSO_OK);
        assert_int_equal(passo_ratio_cmp(value, passo_ratio(num, 256)), 0);
    }
}

static void reads_tempi(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int32_t mbpm;
        int64_t num;
        int64_t den;
    } good[] = {
        {"92", 92000, 0, 1},
        {" 63.7 ", 63700, 0, 1},
        {"92 bpm", 92000, 0, 1},
        {"92BPM", 92000, 0, 1},
        {"88.5", 88500, 0, 1},
        {"100.0004", 100000, 0, 1},
        {"100.0005", 100001, 0, 1},
        {"100.00049999999999999999", 100000, 0, 1},
        {"99.9995", 100000, 0, 1},
        {"5", 5000, 0, 1},
        {"1000", 1000000, 0, 1},
        {"dotted quarter = 88", 88000, 3, 8},
        {"dotted quarter=88", 88000, 3, 8},
        {"quarter + dotted quarter = 60.25 bpm", 60250, 5, 8},
        {"1/8 = 240", 240000, 1, 8},
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        int32_t mbpm = 0;
        struct passo_ratio beat = {9, 9};
        assert_int_equal(passo_tempo_read(good[i].text, &mbpm, &beat), PASSO_OK);
        assert_int_equal(mbpm, good[i].mbpm);
        assert_ratio(beat, good[i].num, good[i].den);
    }
    static const char *const range[] = {"0",
                                        "4.999",
                                        "1000.001",
                                        "-5",
                                        "+96",
                                        "1e9",
                                        "1e+9",
                                        "nan",
                                        "inf",
                                        "-inf",
                                        "NaN",
                                        "INFINITY",
                                        "99999999999999999999999999",
                                        "quarter = 0",
                                        "quarter = -3"};
    static const char *const syntax[] = {
        "",          "fast", "96 97", "96,5",     "96 bps", "= 96",
        "quarter =", "96x",  "0x60",  "cow = 96", "1e",     "quarter = quarter = 96",
        "infinite"};
    int32_t mbpm = 0;
    struct passo_ratio beat;
    for (size_t i = 0; i < sizeof range / sizeof *range; i++)
        assert_int_equal(passo_tempo_read(range[i], &mbpm, &beat), PASSO_ERR_RANGE);
    for (size_t i = 0; i < sizeof syntax / sizeof *syntax; i++)
        assert_int_equal(passo_tempo_read(syntax[i], &mbpm, &beat), PASSO_ERR_SYNTAX);
}

static void writes_tempi(void **state)
{
    (void)state;
    char text[80];
    assert_string_equal(passo_bpm_write(92000, text, sizeof text), "92");
    assert_string_equal(passo_bpm_write(63700, text, sizeof text), "63.7");
    assert_string_equal(passo_bpm_write(168540, text, sizeof text), "168.54");
    assert_string_equal(passo_bpm_write(5001, text, sizeof text), "5.001");
    assert_string_equal(passo_bpm_write(1000000, text, sizeof text), "1000");
    assert_string_equal(passo_tempo_write(88000, passo_ratio(3, 8), text, sizeof text),
                        "dotted quarter = 88");
    for (int i = 0; i < 20000; i++) {
        int32_t mbpm =
            PASSO_TEMPO_MIN_MBPM + (int32_t)chance(PASSO_TEMPO_MAX_MBPM - PASSO_TEMPO_MIN_MBPM + 1);
        struct passo_ratio unit = passo_ratio(1 + (int64_t)chance(1024), 256);
        struct passo_ratio beat = {0, 0};
        int32_t back = 0;
        passo_tempo_write(mbpm, unit, text, sizeof text);
        assert_int_equal(passo_tempo_read(text, &back, &beat), PASSO_OK);
        assert_int_equal(back, mbpm);
        assert_int_equal(passo_ratio_cmp(beat, unit), 0);
    }
}

static void reads_meters(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int count;
        int unit;
        int groups;
        const char *written;
    } good[] = {
        {"4/4", 4, 4, 4, "4/4"},
        {" 3 / 4 ", 3, 4, 3, "3/4"},
        {"6/8", 6, 8, 2, "6/8"},
        {"2+2+3/8", 7, 8, 3, "7/8 as 2+2+3"},
        {"7/8 as 2+2+3", 7, 8, 3, "7/8 as 2+2+3"},
        {"7/8 (2+2+3)", 7, 8, 3, "7/8 as 2+2+3"},
        {"7/8 ( 2 + 2 + 3 )", 7, 8, 3, "7/8 as 2+2+3"},
        {"8/8 as 3+3+2", 8, 8, 3, "8/8 as 3+3+2"},
        {"7/8", 7, 8, 7, "7/8"},
        {"3+3/8", 6, 8, 2, "6/8"},
        {"5/4 as 3+2", 5, 4, 2, "5/4 as 3+2"},
        {"64/64", 64, 64, 64, "64/64"},
        {"1/1", 1, 1, 1, "1/1"},
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct passo_meter meter;
        char text[256];
        assert_int_equal(passo_meter_read(good[i].text, &meter), PASSO_OK);
        assert_int_equal(meter.count, good[i].count);
        assert_int_equal(meter.unit, good[i].unit);
        assert_int_equal(meter.groups, good[i].groups);
        assert_string_equal(passo_meter_write(&meter, text, sizeof text), good[i].written);
    }
    static const struct {
        const char *text;
        enum passo_error error;
    } bad[] = {
        {"", PASSO_ERR_SYNTAX},
        {"4", PASSO_ERR_SYNTAX},
        {"4/", PASSO_ERR_SYNTAX},
        {"/4", PASSO_ERR_SYNTAX},
        {"four/4", PASSO_ERR_SYNTAX},
        {"4/4 swung", PASSO_ERR_SYNTAX},
        {"7/8 (2+2+3", PASSO_ERR_SYNTAX},
        {"2+2+3/8 as 2+2+3", PASSO_ERR_SYNTAX},
        {"4.5/4", PASSO_ERR_SYNTAX},
        {"4/4 as 4 x", PASSO_ERR_SYNTAX},
        {"4/3", PASSO_ERR_RANGE},
        {"17/0", PASSO_ERR_RANGE},
        {"0/4", PASSO_ERR_RANGE},
        {"65/4", PASSO_ERR_RANGE},
        {"4/128", PASSO_ERR_RANGE},
        {"7/8 as 2+2+2", PASSO_ERR_RANGE},
        {"7/8 as 7+0", PASSO_ERR_RANGE},
        {"60+60/8", PASSO_ERR_RANGE},
        {"99999999999999999999/4", PASSO_ERR_RANGE},
        {"4/99999999999999999999", PASSO_ERR_RANGE},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct passo_meter meter;
        assert_int_equal(passo_meter_read(bad[i].text, &meter), bad[i].error);
    }
}

static void random_meters_read_back(void **state)
{
    (void)state;
    for (int i = 0; i < 5000; i++) {
        uint8_t group[PASSO_METER_COUNT_MAX];
        size_t groups = 0;
        struct passo_meter meter;
        struct passo_meter back;
        char text[512];
        for (uint32_t left = 1 + chance(PASSO_METER_COUNT_MAX); left; groups++) {
            group[groups] = (uint8_t)(1 + chance(left < 6 ? left : 6));
            left -= group[groups];
        }
        assert_int_equal(passo_meter_init_groups(&meter, group, groups, 1 << chance(7)), PASSO_OK);
        passo_meter_write(&meter, text, sizeof text);
        assert_int_equal(passo_meter_read(text, &back), PASSO_OK);
        assert_int_equal(back.count, meter.count);
        assert_int_equal(back.unit, meter.unit);
        assert_int_equal(back.groups, meter.groups);
        assert_memory_equal(back.group, meter.group, meter.groups);
    }
}

static void cleans_text(void **state)
{
    (void)state;
    char out[64];
#define CLEANS(text, want) assert_string_equal(passo_text_clean(text, out, sizeof out), want)
    CLEANS("", "");
    CLEANS("Marrowby March", "Marrowby March");
    CLEANS("\xC3\x89tude n\xC2\xBA 4 \xE2\x99\xAD", "\xC3\x89tude n\xC2\xBA 4 \xE2\x99\xAD");
    CLEANS("a\x1B[2Jb", "a?[2Jb");      /* C0 */
    CLEANS("a\tb\r\nc\x7F", "a?b??c?"); /* C0, DEL */
    CLEANS("a\xC2\x9B"
           "2Jb",
           "a?2Jb"); /* C1: a CSI of one character */
    CLEANS("a\xE2\x80\xAE"
           "b",
           "a?b"); /* U+202E turns the writing round */
    CLEANS("a\xE2\x81\xA7"
           "b",
           "a?b"); /* U+2067 */
    CLEANS("a\xE2\x80\xA8"
           "b",
           "a?b");                        /* U+2028 line separator */
    CLEANS("a\xFF\xFE", "a??");           /* never UTF-8 */
    CLEANS("a\xC0\x9B", "a??");           /* overlong */
    CLEANS("a\xED\xA0\x80", "a???");      /* a surrogate */
    CLEANS("a\xF4\x90\x80\x80", "a????"); /* above U+10FFFF */
    CLEANS("a\xE2\x99", "a??");           /* cut */
    CLEANS("\xF0\x9F\x8E\xBA", "\xF0\x9F\x8E\xBA");
#undef CLEANS
    assert_string_equal(passo_text_clean("ab\xC3\x89", out, 4), "ab"); /* no half character */
    assert_string_equal(passo_text_clean("ab\xC3\x89", out, 5), "ab\xC3\x89");
    out[0] = 'x';
    assert_string_equal(passo_text_clean("ab", out, 1), "");
    out[0] = 'x';
    passo_text_clean("ab", out, 0);
    assert_int_equal(out[0], 'x');
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_note_values),
        cmocka_unit_test(writes_note_values),
        cmocka_unit_test(every_note_value_reads_back),
        cmocka_unit_test(reads_tempi),
        cmocka_unit_test(writes_tempi),
        cmocka_unit_test(reads_meters),
        cmocka_unit_test(random_meters_read_back),
        cmocka_unit_test(cleans_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
