/* Every preset that ships, played from its first pass to its last: the whole sequence of tempi,
 * ways and parts against one worked out by hand from the rule. "80 x3" stands for three such
 * passes. */
#include <stdlib.h>
#include "engine/course_play.h"
#include "text/setup.h"

struct preset_course {
    const char *preset;
    const char *bars;
    const char *target;
    const char *marks;
    const char *course; /* set apart by ", " */
};

#define UP_BY_4_TO_80  "56 x2, 60 x2, 64 x2, 68 x2, 72 x2, 76 x2, 80 x2"
#define UP_BY_5_TO_100 "75 x2, 80 x2, 85 x2, 90 x2, 95 x2, 100 x2"

static const struct preset_course courses[] = {
    {"bar-by-bar", "3", "100", "CC MMM CC CC CC C",
     "first bar/100 x2, first 2 bars/100(M) x3, first bar/100 x2, first 2 bars/100 x2, whole/100 "
     "x2, "
     "context:100"},
    {"before-rehearsal", "4", "100", "CCMCCCCC C",
     "75, 80, 85(M), 80, 85, 90, 95, 100, context:100"},
    {"closing-in", "4", "100", "CC MM CC CC CC CC CC CC CC CC CC CC CC CC C",
     "50 x2, 62(M) x2, 50 x2, 62 x2, 71 x2, 78 x2, 83 x2, 87 x2, 90 x2, 92 x2, 94 x2, 96 x2, 98 "
     "x2, "
     "100 x2, context:100"},
    {"coins", "4", "100", "CCMCCCC CCCCC CCCCC CCCCC CCCCC CCCCC C",
     "75 x2, 75(M), 75 x4, 80 x5, 85 x5, 90 x5, 95 x5, 100 x5, context:100"},
    {"cold-first", "4", "80", "M CC CC CC CC CC CC CC CC CC M",
     "cold:80(M), 48 x2, 52 x2, " UP_BY_4_TO_80 ", context:80(M)"},
    {"find-the-edge", "4", "96", "CCMCM CC CC CC CC CC CC CC CC CC CC C",
     "48, 64, 80(M), 72, 76(M), 61.2 x2, 65.2 x2, 69.2 x2, 73.2 x2, 77.2 x2, 81.2 x2, 85.2 x2, "
     "89.2 x2, 93.2 x2, 96 x2, context:96"},
    {"five-in-a-row", "4", "100", "CCM CCCCC CCCCC CCCCC CCCCC CCCCC C",
     "80 x2, 80(M), 80 x5, 85 x5, 90 x5, 95 x5, 100 x5, context:100"},
    {"from-the-end", "1", "100", "CC CMCC CC CC C",
     "last beat/100 x2, last 2 beats/100, last 2 beats/100(M), last 2 beats/100 x2, "
     "last 3 beats/100 x2, whole/100 x2, context:100"},
    {"halves", "8", "120", "CCCC CCMCC CC CCCCCC M",
     "first half/72, first half/84, first half/96, first half/108, second half/72, second half/84, "
     "second half/96(M), second half/96, second half/108, seam/86.4 x2, whole/86.4, whole/94.4, "
     "whole/102.4, whole/110.4, whole/118.4, whole/120, context:120(M)"},
    {"in-pieces", "4", "100", "CCCCCCC CMM CCCCCCC CCCCCCC C",
     "piece 1/70, piece 1/75, piece 1/80, piece 1/85, piece 1/90, piece 1/95, piece 1/100, "
     "piece 2/70, piece 2/75(M) x2, piece 2/70, piece 2/75, piece 2/80, piece 2/85, piece 2/90, "
     "piece 2/95, piece 2/100, whole/70, whole/75, whole/80, whole/85, whole/90, whole/95, "
     "whole/100, context:100"},
    {"less-click", "4", "100", "CC CC CC CC CC CCMCCCC C",
     "80 x2, 85 x2, 90 x2, 95 x2, 100 x2, close:100, close:100~1, close:100~2(M), close:100~1, "
     "close:100~2, close:100~3, close:100~4, context:100"},
    {"marks", "4", "100", "CC CC CC CC CC CC CC CC CC CC CC CC C",
     "60 x2, 63 x2, 66 x2, 69 x2, 72 x2, 76 x2, 80 x2, 84 x2, 88 x2, 92 x2, 96 x2, 100 x2, "
     "context:100"},
    {"octave-pair", "4", "60", "CC CMCC CC CC CC CC CC C",
     "low/36, at pitch/36, low/40, at pitch/40(M), low/40, at pitch/40, low/44, at pitch/44, "
     "low/48, "
     "at pitch/48, low/52, at pitch/52, low/56, at pitch/56, low/60, at pitch/60, context:60"},
    {"over-the-top", "4", "100", "CC CC CC CC CC CC CC M CMC C",
     "70 x2, " UP_BY_5_TO_100 ", over:105(M), close:100, close:100(M), close:100, context:100"},
    {"patient", "4", "100", "CMCC CCC CCC CCC CCC CCC CCC CCC CCC CCC CCC C",
     "70, 70(M), 70 x2, 73 x3, 76 x3, 79 x3, 82 x3, 85 x3, 88 x3, 91 x3, 94 x3, 97 x3, 100 x3, "
     "context:100"},
    {"press-on-miss", "4", "60", "UUC UUC UUC UUM UUC UUC UUC UUC U",
     "36(U) x2, 36, 40(U) x2, 40, 44(U) x2, 44, 48(U) x2, 48(M), 48(U) x2, 48, 52(U) x2, 52, "
     "56(U) x2, 56, 60(U) x2, 60, context:60(U)"},
    {"put-away-slow", "4", "80", "CC CC CC CC CC CC CC CC CC C C",
     "48 x2, 52 x2, " UP_BY_4_TO_80 ", context:80, easy:48"},
    {"rhythm-round", "4", "60", "CMCC CCC CCC CCC CCC CCC CCC C",
     "long-short/36, short-long/36(M), short-long/36, even/36, long-short/40, short-long/40, "
     "even/40, "
     "long-short/44, short-long/44, even/44, long-short/48, short-long/48, even/48, long-short/52, "
     "short-long/52, even/52, long-short/56, short-long/56, even/56, long-short/60, short-long/60, "
     "even/60, context:60"},
    {"short-visit", "4", "100", "CMCCCC C", "80, 85(M), 85, 90, 95, 100, context:100"},
    {"silent-bars", "4", "100", "CC CC CC CC CC CC CC C", "70 x2, " UP_BY_5_TO_100 ", context:100"},
    {"slow-anchor", "4", "20", "C-C-C-M-C-C-C-C C",
     "13, anchor:12, 13, anchor:12, 17, anchor:12, 17(M), anchor:12, 17, anchor:12, 17, anchor:12, "
     "20, anchor:12, 20, context:20"},
    {"steady", "4", "80", "CC MM CC CC CC CC CC CC CC CC CC C",
     "48 x2, 52(M) x2, 48 x2, 52 x2, " UP_BY_4_TO_80 ", context:80"},
    {"tongue-then-slur", "4", "60", "CM MCC CC CC CC CC CC CC C",
     "tongued/36, slurred/36(M), tongued/36(M), tongued/36, slurred/36, tongued/40, slurred/40, "
     "tongued/44, slurred/44, tongued/48, slurred/48, tongued/52, slurred/52, tongued/56, "
     "slurred/56, tongued/60, slurred/60, context:60"},
    {"two-up-one-back", "4", "80", "CCCCCMCCCCCCCCC C",
     "48, 56, 52, 60, 56, 64(M), 64, 60, 68, 64, 72, 68, 76, 72, 80, context:80"},
};

/* "80 x3, 84" as "80 80 80 84". */
static void expand(const char *short_form, char *out, size_t bytes)
{
    size_t used = 0;
    for (const char *at = short_form; *at;) {
        size_t length = strcspn(at, ",");
        int times = 1;
        size_t word = length;
        for (size_t i = length; i > 2; i--)
            if (at[i - 2] == ' ' && at[i - 1] == 'x' && at[i] >= '1' && at[i] <= '9') {
                times = atoi(at + i);
                word = i - 2;
                break;
            }
        while (times--) {
            int added =
                snprintf(out + used, bytes - used, "%s%.*s", used ? " " : "", (int)word, at);
            assert_true(added > 0 && (size_t)added < bytes - used);
            used += (size_t)added;
        }
        at += length;
        at += strspn(at, ", ");
    }
}

static struct passo_setup *setup_of(const char *preset, const char *bars, const char *target)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    struct passo_setup *setup = calloc(1, sizeof *setup);
    passo_lines_add_preset(&lines, preset, &faults);
    passo_lines_add_option(&lines, "bars", bars, &faults);
    passo_lines_add_option(&lines, "target", target, &faults);
    passo_setup_resolve(&lines, true, setup, &faults);
    for (size_t i = 0; i < faults.faults; i++)
        print_error("%s\n", faults.fault[i]);
    assert_int_equal(faults.faults, 0);
    passo_lines_deinit(&lines);
    passo_faults_deinit(&faults);
    return setup;
}

static void each_is_played_to_its_end(void **state)
{
    (void)state;
    struct course_play *play = calloc(1, sizeof *play);
    for (size_t i = 0; i < sizeof courses / sizeof courses[0]; i++) {
        char expected[COURSE_BYTES];
        const struct preset_course *course = &courses[i];
        struct passo_setup *setup = setup_of(course->preset, course->bars, course->target);
        expand(course->course, expected, sizeof expected);
        course_begin(play, &setup->course, &setup->passage);
        course_marks(play, course->marks);
        if (strcmp(play->text, expected))
            print_error("%s\n", course->preset);
        assert_course(play, expected);
        assert_int_equal(course_next(play).part, PASSO_PART_DONE);
        assert_int_equal(play->state.now.outcome, PASSO_OUTCOME_WON);
        free(setup);
    }
    free(play);
}

/* Its order is drawn: 70 75 80 85 90 95 100, each until it was clean, none twice running. */
static void mixed_tempi_is_played_to_its_end(void **state)
{
    (void)state;
    struct course_play *play = calloc(1, sizeof *play);
    struct passo_setup *setup = setup_of("mixed-tempi", "4", "100");
    int clean[7] = {0};
    setup->course.stage[0].rule.seed = 20261125;
    course_begin(play, &setup->course, &setup->passage);
    for (int pass = 0; pass < 7; pass++) {
        int32_t mbpm = course_next(play).mbpm;
        assert_true(mbpm >= 70000 && mbpm <= 100000 && mbpm % 5000 == 0);
        clean[(mbpm - 70000) / 5000]++;
        course_marks(play, "C");
    }
    for (int rung = 0; rung < 7; rung++)
        assert_int_equal(clean[rung], 1);
    course_marks(play, "C");
    assert_non_null(strstr(play->text, " context:100"));
    assert_int_equal(course_next(play).part, PASSO_PART_DONE);
    assert_int_equal(play->state.now.outcome, PASSO_OUTCOME_WON);
    free(setup);
    free(play);
}

/* A preset that joins later must join the table. */
static void none_is_left_out(void **state)
{
    (void)state;
    char **names;
    size_t count = passo_find_all("presets", &names);
    for (size_t i = 0; i < count; i++) {
        bool there = !strcmp(names[i], "mixed-tempi");
        for (size_t j = 0; j < sizeof courses / sizeof courses[0]; j++)
            there = there || !strcmp(courses[j].preset, names[i]);
        if (!there)
            print_error("%s\n", names[i]);
        assert_true(there);
        free(names[i]);
    }
    free(names);
    assert_int_equal(count, sizeof courses / sizeof courses[0] + 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_is_played_to_its_end),
        cmocka_unit_test(mixed_tempi_is_played_to_its_end),
        cmocka_unit_test(none_is_left_out),
    };
    /* The shipped ones only. */
    setenv("XDG_CONFIG_HOME", "/nowhere", 1);
    setenv("XDG_DATA_HOME", "/nowhere", 1);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
