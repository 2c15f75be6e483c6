/* Every rule that teachers use and that moves a ladder or a loop, R1 to R28 of the trade page
 * (common practice; the numbers here are ours), said in the language: the lines that say it, marks,
 * and the course that they give, worked out by hand. R27 shares visits among several passages: that
 * is the routine's, and moves no ladder. */
#include <stdlib.h>
#include <unistd.h>
#include "engine/course_play.h"
#include "text/setup.h"

struct rule {
    const char *name;
    const char *says;
    const char *lines;
    const char *marks;
    const char *course;
    int64_t pass_ms;   /* how long a pass lasts, where time counts */
    int32_t past_mbpm; /* best clean tempo of the last day with practice */
    uint16_t missed;   /* days since */
};

#define PASSAGE  "[passage]\ntitle = Cornet run\nbars = 33-36\n"
#define NO_LIMIT "stop = none\nplateau = none\ntired = none\nfinish = none\n"

/* Two bars, the last one first, tongued and slurred, at 60 and 64. */
#define CHAINED                                                                                    \
    "[passage]\nbars = 2\ntarget = 64\n[loops]\nchain = backward by 1 bar\n[variants]\n"           \
    "t = all tongued\ns = all slurred\n[ladder]\nstart = 60\ndrop = hold\n"

static const struct rule rules[] = {
    {.name = "R1",
     .says = "so many clean in a row raise; a miss begins the count again and holds",
     .lines = PASSAGE "target = 68\n[ladder]\nstart = 60\nsteps = 4 bpm\n"
                      "raise = 2 clean in a row\ndrop = hold\n" NO_LIMIT,
     .marks = "CMCC CC CC",
     .course = "60 60(M) 60 60 64 64 68 68"},
    {.name = "R2",
     .says = "and so many misses in a row drop, not below the start",
     .lines = PASSAGE "target = 68\n[ladder]\nstart = 60\nsteps = 4 bpm\n"
                      "raise = 2 clean in a row\ndrop = 1 rung after 2 misses\n" NO_LIMIT,
     .marks = "MM CC MM CC CC CC",
     .course = "60(M) 60(M) 60 60 64(M) 64(M) 60 60 64 64 68 68"},
    {.name = "R3",
     .says = "a window of four: the third clean raises; two closed windows drop",
     .lines = PASSAGE "target = 64\n[ladder]\nstart = 52\nsteps = 6 bpm\n"
                      "raise = 3 clean of 4\ndrop = 1 rung after 4 misses here\n" NO_LIMIT,
     .marks = "CCC MCM MCM C",
     .course = "52 52 52 58(M) 58 58(M) 58(M) 58 58(M) 52"},
    {.name = "R4",
     .says = "two up, one back; a miss repeats",
     .lines = PASSAGE "target = 76\n[ladder]\nstart = 60\nsteps = 4 bpm\nraise = 1 clean\n"
                      "lift = 2 -1\ndrop = hold\n" NO_LIMIT,
     .marks = "CCCCMCC",
     .course = "60 68 64 72 68(M) 68 76"},
    {.name = "R5",
     .says = "steps in percent; a drop goes back by the rung, never by dividing",
     .lines = PASSAGE "target = eighth = 180\nmeter = 7/8\n[ladder]\nstart = 150\nsteps = 6 %\n"
                      "raise = 1 clean\ndrop = 1 rung after 1 miss\n" NO_LIMIT,
     .marks = "CCCMCC",
     .course = "150 159 168.54 180(M) 168.54 180"},
    {.name = "R6",
     .says = "a quarter of what remains, rounded down, at least two",
     .lines = PASSAGE "target = 120\n[ladder]\nstart = 70\nsteps = quarter of the rest\n"
                      "raise = 1 clean\n" NO_LIMIT,
     .marks = "CCCCCCCCCCCC",
     .course = "70 82 91 98 103 107 110 112 114 116 118 120"},
    {.name = "R7",
     .says = "find the edge by halving, in at most six passes; work from 85 % of it",
     .lines = PASSAGE "target = 120\n[ladder]\nraise = 1 clean\nsteps = 4 bpm\n" NO_LIMIT
                      "[stage edge]\nclimbs = edge within 4 bpm\nsteps = 16 bpm\nstart = 60\n"
                      "stop = 6 passes\n[stage work]\nstart = 85 % of last result\n",
     .marks = "CCMCM CC",
     .course = "60 76 92(M) 84 88(M) 71.4 75.4"},
    {.name = "R8",
     .says =
         "octave down, then at pitch; the second miss at pitch at a tempo drops, octave down two "
         "in a row",
     .lines = PASSAGE "target = 88\n[variants]\nlow = octave -1\npitch = as written\n[ladder]\n"
                      "start = 72\nsteps = 8 bpm\nraise = 1 clean\nmiss = first turn\n"
                      "drop = 1 rung after 2 misses in a row here\n" NO_LIMIT,
     .marks = "CC CM CM MC MM CC C",
     .course = "low/72 pitch/72 low/80 pitch/80(M) low/80 pitch/80(M) low/72(M) low/72 pitch/72(M) "
               "low/72(M) low/72 pitch/72 low/80"},
    {.name = "R9",
     .says = "tongued, then slurred; the written one earns the raise",
     .lines = PASSAGE "target = 88\n[variants]\ntongued = all tongued\nslurred = as written\n"
                      "[ladder]\nstart = 72\nsteps = 8 bpm\nraise = 1 clean\nmiss = first turn\n"
                      "drop = 1 rung after 2 misses in a row here\n" NO_LIMIT,
     .marks = "CM CC C",
     .course = "tongued/72 slurred/72(M) tongued/72 slurred/72 tongued/80"},
    {.name = "R10",
     .says = "a round of rhythms at one tempo, one clean each; a miss repeats that one",
     .lines = PASSAGE "target = 80\n[variants]\nlong-short = long-short\nshort-long = short-long\n"
                      "even = even\n[ladder]\nstart = 60\nsteps = 4 bpm\nraise = 1 clean\n"
                      "miss = again\ndrop = hold\n" NO_LIMIT,
     .marks = "CMCC C",
     .course = "long-short/60 short-long/60(M) short-long/60 even/60 long-short/64"},
    {.name = "R11",
     .says = "after each pass a slow one, which never counts",
     .lines = PASSAGE "target = 100\n[ladder]\nstart = 80\nsteps = 10 bpm\nraise = 1 clean\n"
                      "anchor = 60 %\n" NO_LIMIT,
     .marks = "C-M-C-C",
     .course = "80 anchor:60 90(M) anchor:60 90 anchor:60 100"},
    {.name = "R12",
     .says = "at the tempo, one beat longer from the end; three misses in a row make it shorter",
     .lines = "[passage]\nbars = 2\ntarget = 144\n[loops]\nchain = backward by beat\n[ladder]\n"
              "climbs = length\nraise = 2 clean in a row\ndrop = 1 rung after 3 misses\n" NO_LIMIT,
     .marks = "CC CC MMM CC",
     .course = "last beat/144 last beat/144 last 2 beats/144 last 2 beats/144 last 3 beats/144(M) "
               "last 3 beats/144(M) last 3 beats/144(M) last 2 beats/144 last 2 beats/144"},
    {.name = "R13",
     .says = "each half to a share of the tempo, the seam, then joined from 80 % of the lower half",
     .lines = "[passage]\nbars = 8\ntarget = 120\npreset = halves\n",
     .marks = "CCCC CCMCC CC CCCCCC",
     .course =
         "first half/72 first half/84 first half/96 first half/108 second half/72 "
         "second half/84 second half/96(M) second half/96 second half/108 seam/86.4 seam/86.4 "
         "whole/86.4 whole/94.4 whole/102.4 whole/110.4 whole/118.4 whole/120"},
    {.name = "R14",
     .says = "past the target once it is won, which spoils nothing, then at the target to close",
     .lines = PASSAGE "target = 80\n[ladder]\nstart = 76\nraise = 1 clean\nover = 1 at 105 %\n"
                      "close = 2 clean\n" NO_LIMIT,
     .marks = "CCMCC",
     .course = "76 80 over:84(M) close:80 close:80"},
    {.name = "R15",
     .says =
         "two drops from one tempo are today's ceiling: two clean one rung lower, then in context",
     .lines = PASSAGE "target = 80\n[ladder]\nstart = 60\nraise = 1 clean\n"
                      "drop = 1 rung after 1 miss\nstop = none\ntired = none\n"
                      "plateau = 2 drops, then 2 clean\n",
     .marks = "CMCM CC C",
     .course = "60 64(M) 60 64(M) close:60 close:60 context:60"},
    {.name = "R15, or",
     .says = "... or another way to play it first, and then the same",
     .lines = PASSAGE "target = 80\n[variants]\ntongued = all tongued\nslurred = all slurred\n"
                      "[ladder]\nstart = 60\nraise = 1 clean\ndrop = 1 rung after 1 miss\n"
                      "stop = none\ntired = none\nplateau = 2 drops\n[stage one]\n"
                      "variant = tongued\n[stage other]\nvariant = slurred\n"
                      "start = 100 % of last result\n",
     .marks = "CMCM CMCM C",
     .course = "tongued/60 tongued/64(M) tongued/60 tongued/64(M) slurred/60 slurred/64(M) "
               "slurred/60 slurred/64(M) context:60"},
    {.name = "R16",
     .says = "when the time is up the pass is finished, then in context, and on",
     .lines = PASSAGE "target = 96\n[ladder]\nstart = 60\nraise = 1 clean\nstop = 5 min\n",
     .marks = "CCCCC C",
     .course = "60 64 68 72 76 context:76",
     .pass_ms = 60000},
    {.name = "R17",
     .says = "at most so many passes a visit",
     .lines = PASSAGE "target = 96\n[ladder]\nstart = 60\nraise = 1 clean\nstop = 3 passes\n",
     .marks = "CMC C",
     .course = "60 64(M) 64 context:64"},
    {.name = "R18",
     .says = "three misses in the last five: a long rest, one easy pass, the end",
     .lines = PASSAGE "target = 92\n[ladder]\nstart = 66\nraise = 1 clean\n"
                      "drop = 1 rung after 2 misses\nstop = none\ntired = 3 misses of 5\n",
     .marks = "CCCMCMM C",
     .course = "66 70 74 78(M) 78 82(M) 82(M) easy:70"},
    {.name = "R18, minutes",
     .says = "... or so many minutes of playing",
     .lines = PASSAGE "target = 92\n[ladder]\nstart = 66\nraise = 1 clean\nstop = none\n"
                      "tired = 3 misses of 5, 15 min played\n",
     .marks = "CCC C",
     .course = "66 70 74 easy:66",
     .pass_ms = 300000},
    {.name = "R19",
     .says = "coins on the stand: a clean pass moves one across, a miss one back; all across raise",
     .lines = PASSAGE "target = 80\n[ladder]\nstart = 60\nraise = 3 coins\ndrop = hold\n" NO_LIMIT,
     .marks = "MCCMCC C",
     .course = "60(M) 60 60 60(M) 60 60 64"},
    {.name = "R19, strict",
     .says = "... or all back",
     .lines = PASSAGE "target = 80\n[ladder]\nstart = 60\nraise = 3 clean in a row\n"
                      "drop = hold\n" NO_LIMIT,
     .marks = "CCMCCC C",
     .course = "60 60 60(M) 60 60 60 64"},
    {.name = "R20",
     .says = "short visits, each opening one rung below where the last ended",
     .lines = PASSAGE "target = 96\n[ladder]\nstart = 60\nraise = 1 clean\nstop = 4 passes\n"
                      "finish = none\nresume = 1 rung below\n",
     .marks = "CCCC",
     .course = "68 72 76 80",
     .past_mbpm = 72000},
    {.name = "R21",
     .says = "the next day lower: 85 % of the last clean tempo, 5 points less a missed day",
     .lines = PASSAGE "target = 104\n[ladder]\nstart = 60\nraise = 1 clean\n" NO_LIMIT,
     .marks = "CC",
     .course = "63 67",
     .past_mbpm = 84000,
     .missed = 2},
    {.name = "R22",
     .says = "one cold try at the target before any work; it moves nothing",
     .lines = PASSAGE "target = 80\n[ladder]\nstart = 60\nraise = 1 clean\ncold = yes\n" NO_LIMIT,
     .marks = "MCC",
     .course = "cold:80(M) 60 64"},
    {.name = "R23",
     .says = "the teacher's ceiling: there the way to play it changes, not the tempo",
     .lines = PASSAGE "target = 80\n[variants]\ntongued = all tongued\nslurred = all slurred\n"
                      "[ladder]\nstart = 64\nraise = 1 clean\ndrop = hold\nceiling = 68\n" NO_LIMIT,
     .marks = "CC CC CMC C",
     .course = "tongued/64 slurred/64 tongued/68 slurred/68 tongued/68 slurred/68(M) slurred/68 "
               "tongued/68"},
    {.name = "R25",
     .says =
         "less click: at the target each clean pass thins the pulse, a miss gives one stage back",
     .lines =
         PASSAGE "target = 80\n[ladder]\nstart = 76\nraise = 1 clean\nclose = thinning\n" NO_LIMIT,
     .marks = "CC CMCCCCC",
     .course = "76 80 close:80 close:80~1(M) close:80 close:80~1 close:80~2 close:80~3 close:80~4"},
    {.name = "R26",
     .says = "put away slowly: the last pass at 60 %",
     .lines = PASSAGE "target = 80\n[ladder]\nstart = 76\nraise = 1 clean\n"
                      "finish = 1 in context, 1 at 60 %\n",
     .marks = "CC CC",
     .course = "76 80 context:80 easy:48"},
    {.name = "R28",
     .says = "one run in context, no repeat whatever happens",
     .lines = PASSAGE "target = 80\ncontext = 4\n[ladder]\nstart = 76\nraise = 1 clean\n",
     .marks = "CC M",
     .course = "76 80 context:80(M)"},
    /* The three orders of turns, with a chain and variants together. */
    {.name = "every rung",
     .says = "all chunks in all ways at each tempo",
     .lines = CHAINED "raise = 1 clean\n" NO_LIMIT,
     .marks = "CCCC CMCCC",
     .course = "last bar/t/60 last bar/s/60 whole/t/60 whole/s/60 last bar/t/64 last bar/s/64(M) "
               "last bar/s/64 whole/t/64 whole/s/64"},
    {.name = "every pass",
     .says = "the next chunk or way after every pass; a rung is won at the end of a round",
     .lines = CHAINED "turn = every pass\nraise = 2 clean in a row\n" NO_LIMIT,
     .marks = "CCCM CCCC CCCC",
     .course = "last bar/t/60 last bar/s/60 whole/t/60 whole/s/60(M) last bar/t/60 last bar/s/60 "
               "whole/t/60 whole/s/60 last bar/t/64 last bar/s/64 whole/t/64 whole/s/64"},
    {.name = "whole climb",
     .says = "each chunk in each way climbs from the start to the target, then the next",
     .lines = CHAINED "raise = 1 clean\nturn = whole climb\n" NO_LIMIT,
     .marks = "CC CC CMC CC",
     .course = "last bar/t/60 last bar/t/64 last bar/s/60 last bar/s/64 whole/t/60 whole/t/64(M) "
               "whole/t/64 whole/s/60 whole/s/64"},
    {.name = "lengths, every rung",
     .says = "each length in all ways",
     .lines = CHAINED "raise = 1 clean\nclimbs = length\n" NO_LIMIT,
     .marks = "CC CC",
     .course = "last bar/t/64 last bar/s/64 whole/t/64 whole/s/64"},
    {.name = "lengths, whole climb",
     .says = "one way from the shortest to the whole, then the other",
     .lines = CHAINED "raise = 1 clean\nclimbs = length\nturn = whole climb\n" NO_LIMIT,
     .marks = "CC CC",
     .course = "last bar/t/64 whole/t/64 last bar/s/64 whole/s/64"},
};

/* The setup that a passage file of these lines gives. */
static struct passo_setup *read_lines(const char *text)
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    struct passo_setup *setup = calloc(1, sizeof *setup);
    char path[] = "/tmp/passo-rule-XXXXXX";
    int file = mkstemp(path);
    assert_int_equal(write(file, text, strlen(text)), strlen(text));
    close(file);
    passo_lines_add_file(&lines, path, &faults);
    passo_setup_resolve(&lines, true, setup, &faults);
    for (size_t i = 0; i < faults.faults; i++)
        print_error("%s\n", faults.fault[i]);
    assert_int_equal(faults.faults, 0);
    passo_lines_deinit(&lines);
    passo_faults_deinit(&faults);
    unlink(path);
    return setup;
}

static void check_rule(const struct rule *rule, struct course_play *play)
{
    struct passo_setup *setup = read_lines(rule->lines);
    if (rule->past_mbpm) {
        struct passo_past past = {"whole", "as written", rule->past_mbpm};
        passo_course_resume(&setup->course, &setup->passage, &past, 1, rule->missed);
        assert_int_equal(passo_course_check(&setup->course, NULL, 0), PASSO_OK);
    }
    course_begin(play, &setup->course, &setup->passage);
    play->pass_ms = rule->pass_ms;
    course_marks(play, rule->marks);
    if (strcmp(play->text, rule->course))
        print_error("%s, %s\n", rule->name, rule->says);
    assert_course(play, rule->course);
    free(setup);
}

static void every_rule_can_be_said(void **state)
{
    (void)state;
    struct course_play *play = calloc(1, sizeof *play);
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++)
        check_rule(&rules[i], play);
    free(play);
}

/* R24: drawn rungs between 70 % and the target, never one twice running; for spots that only work
 * on the way up. The order is drawn, so its course is told by what must hold of it. */
static void mixed_tempi(void **state)
{
    (void)state;
    static const char lines[] = PASSAGE "target = 100\n[ladder]\nclimbs = mixed\nstart = 70 %\n"
                                        "steps = 5 bpm\n" NO_LIMIT;
    struct passo_setup *setup = read_lines(lines);
    struct course_play *play = calloc(1, sizeof *play);
    int orders = 0;
    char first[COURSE_BYTES] = "";
    for (uint64_t seed = 1; seed <= 20; seed++) {
        setup->course.stage[0].rule.seed = seed;
        course_begin(play, &setup->course, &setup->passage);
        int clean[31] = {0};
        int32_t before = 0;
        for (int pass = 0; course_next(play).part == PASSO_PART_CLIMB; pass++) {
            const struct passo_plan plan = course_next(play);
            assert_true(pass < 100);
            assert_true(plan.mbpm >= 70000 && plan.mbpm <= 100000 && plan.mbpm % 5000 == 0);
            assert_true(plan.mbpm != before || play->state.now.passes >= 6);
            before = plan.mbpm;
            bool hit = pass % 3 != 1;
            if (hit)
                assert_int_equal(clean[(plan.mbpm - 70000) / 1000]++, 0); /* put away, once */
            course_pass(play, hit ? 'C' : 'M');
        }
        assert_int_equal(play->state.now.outcome, PASSO_OUTCOME_WON);
        for (int rung = 0; rung <= 30; rung += 5)
            assert_int_equal(clean[rung], 1);
        orders += strcmp(first, play->text) != 0;
        strcpy(first, play->text);
    }
    assert_true(orders > 15);
    free(play);
    free(setup);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_rule_can_be_said),
        cmocka_unit_test(mixed_tempi),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
