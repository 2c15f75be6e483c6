/* The sentences of a climb, word for word, for each kind of climb. The texts are our own wording.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <stdio.h>
#include <string.h>
#include "session/words.h"
#include "text/setup.h"

enum { OPTIONS_MAX = 24, TOLD_BYTES = 2 * PASSO_WORDS_BYTES };

struct told {
    struct passo_setup setup;
    struct passo_course_state state;
    int64_t clock_ms;
    uint32_t passes;
    char move[PASSO_WORDS_BYTES]; /* of the last mark */
};

static void set_up(struct told *told, const char *const options[])
{
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    for (size_t i = 0; i < OPTIONS_MAX && options[i]; i += 2)
        passo_lines_add_option(&lines, options[i], options[i + 1], &faults);
    passo_setup_resolve(&lines, true, &told->setup, &faults);
    if (faults.faults > 0)
        fail_msg("%s", faults.fault[0]);
    passo_lines_deinit(&lines);
    passo_faults_deinit(&faults);
    passo_course_begin(&told->setup.course, &told->state);
}

/* One letter an event: c clean, m miss, . unmarked, v void; n, < and > by hand; q the end. A pass
 * takes a minute, all of it playing. */
static void play(struct told *told, const char *letters)
{
    static const char hands[] = "<>nq";
    static const char marks[] = ".cmv";
    for (; *letters; letters++) {
        const struct passo_plan plan = passo_course_next(&told->setup.course, &told->state);
        const char *hand = strchr(hands, *letters);
        struct passo_ladder_event event = {
            .part = plan.part, .rung = plan.rung, .turn = plan.turn, .stage = plan.stage};
        if (hand) {
            event.type = (enum passo_event_type)(PASSO_LADDER_EASIER + (hand - hands));
        } else {
            event.mark = (enum passo_mark)(strchr(marks, *letters) - marks);
            told->clock_ms += 60000;
            told->passes++;
        }
        event.elapsed_ms = event.played_ms = told->clock_ms;
        const struct passo_decision decision =
            passo_course_apply(&told->setup.course, &told->state, &event);
        passo_words_move(&told->setup.course, &told->setup.passage, &told->state, plan.part,
                         &decision, told->move, sizeof told->move);
    }
}

#define TWO_BARS "bars", "12-13", "meter", "3/4", "target", "120"
#define FREE     "stop", "none", "plateau", "none", "tired", "none", "finish", "none"
#define CHAIN    TWO_BARS, "chain", "backward by beat", "climbs", "length"
#define STAGES                                                                                     \
    TWO_BARS, "start", "112", "raise", "1 clean", "loop", "tail=13", "stage", "tail: loop=tail",   \
        "stage", "tail: stop=2 misses in a row", "stage", "all: loop=whole"

static const struct {
    const char *options[OPTIONS_MAX];
    const char *letters;
    const char *move;
    const char *count;
    const char *result;
} exact[] = {
    {{TWO_BARS, "start", "112"},
     "c",
     "Clean. One more clean pass wins quarter = 112.",
     "1 of 2 clean in a row",
     "Ended. No rung is won yet; 1 pass was played."},
    {{TWO_BARS, "start", "112"},
     "cc",
     "Raised to quarter = 116: 2 clean in a row.",
     "0 of 2 clean in a row",
     "Ended. Best tempo won: quarter = 112, after 2 passes."},
    {{TWO_BARS, "start", "112"},
     "ccmm",
     "Down to quarter = 112: 2 misses in a row.",
     "0 of 2 clean in a row",
     "Ended. Best tempo won: quarter = 112, after 4 passes."},
    {{TWO_BARS, "start", "112"},
     "mm",
     "2 misses in a row: it stays at quarter = 112, the lowest rung.",
     "0 of 2 clean in a row",
     "Ended. No rung is won yet; 2 passes were played."},
    {{TWO_BARS, "start", "120", "finish", "none"},
     "cc",
     "The target is won: 2 clean in a row.",
     "",
     "Won: quarter = 120 after 2 passes."},
    {{TWO_BARS, "start", "120", "finish", "none", "raise", "1 clean"},
     "c",
     "The target is won: one clean pass.",
     "",
     "Won: quarter = 120 after 1 pass."},
    {{CHAIN, FREE},
     "ccc",
     "Clean. One more clean pass wins the last 2 beats.",
     "1 of 2 clean in a row",
     "Ended. Best length won: the last beat, after 3 passes."},
    {{CHAIN, FREE},
     "ccccm",
     "A miss. Again the last 3 beats.",
     "0 of 2 clean in a row",
     "Ended. Best length won: the last 2 beats, after 5 passes."},
    {{CHAIN, FREE},
     "cc",
     "Longer now, the last 2 beats: 2 clean in a row.",
     "0 of 2 clean in a row",
     "Ended. Best length won: the last beat, after 2 passes."},
    {{CHAIN, FREE},
     "ccmm",
     "Shorter now, the last beat: 2 misses in a row.",
     "0 of 2 clean in a row",
     "Ended. Best length won: the last beat, after 4 passes."},
    {{CHAIN, FREE},
     "cccccccccccc",
     "The longest is won, the whole passage: 2 clean in a row.",
     "",
     "Won: the whole passage at quarter = 120 after 12 passes."},
    {{TWO_BARS, "raise", "3 clean of 4", FREE},
     "cmc",
     "Clean. One more clean pass wins quarter = 72.",
     "2 of 3 clean in last 4",
     "Ended. No rung is won yet; 3 passes were played."},
    {{TWO_BARS, "raise", "5 coins", FREE},
     "ccm",
     "A miss: 1 of 5 coins across. Again at quarter = 72.",
     "1 of 5 coins across",
     "Ended. No rung is won yet; 3 passes were played."},
    {{TWO_BARS, "raise", "5 coins", FREE},
     "cccc",
     "Clean: 4 of 5 coins across. One more wins quarter = 72.",
     "4 of 5 coins across",
     "Ended. No rung is won yet; 4 passes were played."},
    {{TWO_BARS, "climbs", "mixed", "steps", "60, 120", "start", "60", FREE},
     "cc",
     "Every tempo is won.",
     "",
     "Won: all 2 tempi, up to quarter = 120, after 2 passes."},
    {{TWO_BARS, "climbs", "edge within 4 bpm", "start", "80", "steps", "16 bpm", FREE},
     "cmcm",
     "The edge is found: quarter = 88.",
     "",
     "The edge is found: quarter = 88, after 4 passes."},
    {{TWO_BARS, "climbs", "edge within 4 bpm", "start", "80", "steps", "16 bpm", FREE},
     "cm",
     "Half way between the clean and the missed: quarter = 88.",
     "edge between 80 and 96",
     "Ended. The highest clean tempo: quarter = 80, after 2 passes."},
    {{STAGES},
     "ccc",
     "Won: tail. On to stage 2 of 2, all.",
     "0 of 1 clean",
     "Ended, in stage 2 of 2, all. No rung is won yet; 3 passes were played."},
    {{STAGES},
     "mm",
     "2 misses in a row: enough of this stage. On to stage 2 of 2, all.",
     "0 of 1 clean",
     "Ended, in stage 2 of 2, all. No rung is won yet; 2 passes were played."},
    {{STAGES},
     "n",
     "Left by hand. On to stage 2 of 2, all.",
     "0 of 1 clean",
     "Ended, in stage 2 of 2, all. No rung is won yet; 0 passes were played."},
    {{STAGES, "finish", "none"},
     "cccccc",
     "The target is won: one clean pass.",
     "",
     "Won: both stages, quarter = 120 after 6 passes."},
    {{TWO_BARS, "tired", "3 min played"},
     "ccm",
     "3 minutes of playing: a long rest, one easy pass, then enough.",
     "",
     "Tired: enough for today. Best tempo won: quarter = 72, after 3 passes."},
    {{TWO_BARS, "tired", "3 misses of 5"},
     "mcmm",
     "3 misses in the last 5: a long rest, one easy pass, then enough.",
     "",
     "Tired: enough for today. No rung is won yet; 4 passes were played."},
    {{TWO_BARS, "tired", "3 misses of 5"},
     "mcmmc",
     "That is enough for today.",
     "",
     "Tired: enough for today. No rung is won yet; 5 passes were played."},
    {{TWO_BARS, "start", "120", "finish", "1 at 60 %", "raise", "1 clean"},
     "cc",
     "Played slowly, to put it away.",
     "",
     "Won: quarter = 120 after 2 passes."},
    {{TWO_BARS, "start", "116", "raise", "1 clean", "plateau", "2 drops, then 2 clean", "tired",
      "none"},
     "cmmcmm",
     "2 drops from one rung: that is the ceiling for today. Now 2 clean at the best tempo won.",
     "2 more clean to close",
     "The ceiling for today is reached. Best tempo won: quarter = 116, after 6 passes."},
    {{TWO_BARS, "start", "116", "raise", "1 clean", "plateau", "2 drops, then 2 clean", "tired",
      "none"},
     "cmmcmmc",
     "Played at the best tempo won; 1 clean still to come.",
     "1 more clean to close",
     "The ceiling for today is reached. Best tempo won: quarter = 116, after 7 passes."},
    {{TWO_BARS, "start", "120", "raise", "1 clean", "close", "thinning", "finish", "none"},
     "cc",
     "Clean: fewer clicks now, a click each half bar.",
     "a click each half bar",
     "Won: quarter = 120 after 2 passes."},
    {{TWO_BARS, "start", "120", "raise", "1 clean", "close", "thinning", "finish", "none"},
     "cccccc",
     "Clean with no click after the count-in.",
     "",
     "Won: quarter = 120 after 6 passes."},
};

static void test_exact_sentences(void **state)
{
    (void)state;
    static struct told told;
    char text[PASSO_WORDS_BYTES];
    for (size_t i = 0; i < sizeof exact / sizeof exact[0]; i++) {
        memset(&told, 0, sizeof told);
        set_up(&told, exact[i].options);
        play(&told, exact[i].letters);
        assert_string_equal(told.move, exact[i].move);
        passo_words_count(&told.state.ladder, &told.state.now, text, sizeof text);
        assert_string_equal(text, exact[i].count);
        passo_words_result(&told.setup.course, &told.setup.passage, &told.state, told.passes, false,
                           text, sizeof text);
        assert_string_equal(text, exact[i].result);
    }
}

static const struct {
    const char *options[OPTIONS_MAX];
    const char *letters;
    const char *pass;
    const char *climb;
    const char *ladder;
} played[] = {
    {{CHAIN},
     "",
     "quarter = 120 · bar 13.3 · last beat",
     "at quarter = 120, from the last beat to the whole passage in 6 lengths",
     "at quarter = 120, from the last beat to the whole passage in 6 lengths"},
    {{CHAIN, FREE},
     "cc",
     "quarter = 120 · bars 13.2-13.3 · last 2 beats",
     "at quarter = 120, from the last beat to the whole passage in 6 lengths",
     "at quarter = 120, from the last beat to the whole passage in 6 lengths"},
    {{STAGES},
     "",
     "quarter = 112 · bar 13 · tail · stage 1 of 2",
     "2 stages: tail, all",
     "from quarter = 112 to quarter = 120 in 3 rungs"},
    {{STAGES},
     "ccc",
     "quarter = 112 · bars 12-13 · stage 2 of 2, all",
     "2 stages: tail, all",
     "from quarter = 112 to quarter = 120 in 3 rungs"},
    {{TWO_BARS, "climbs", "mixed", "steps", "8 rungs", "start", "60", "variant", "low=octave -1"},
     "mmm",
     NULL,
     "8 tempi from quarter = 60 to quarter = 120, in drawn order",
     "8 tempi from quarter = 60 to quarter = 120, in drawn order"},
    {{TWO_BARS, "start", "120", "raise", "1 clean", "close", "thinning"},
     "ccc",
     "quarter = 120 · bars 12-13 · to close, one click a bar",
     "at quarter = 120, the only rung",
     "at quarter = 120, the only rung"},
    {{TWO_BARS, "tired", "3 misses of 5"},
     "mmm",
     "quarter = 72 · bars 12-13 · one easy pass",
     NULL,
     NULL},
    {{TWO_BARS, "start", "120", "finish", "1 at 60 %", "raise", "1 clean"},
     "c",
     "quarter = 72 · bars 12-13 · slow and easy, to put it away",
     NULL,
     NULL},
};

static void test_what_is_played_and_climbed(void **state)
{
    (void)state;
    static struct told told;
    char text[TOLD_BYTES];
    for (size_t i = 0; i < sizeof played / sizeof played[0]; i++) {
        memset(&told, 0, sizeof told);
        set_up(&told, played[i].options);
        play(&told, played[i].letters);
        const struct passo_course *course = &told.setup.course;
        const struct passo_passage *passage = &told.setup.passage;
        const struct passo_plan plan = passo_course_next(course, &told.state);
        passo_words_pass(course, passage, &plan, text, sizeof text);
        if (played[i].pass)
            assert_string_equal(text, played[i].pass);
        passo_words_climb(course, passage, &told.state, text, sizeof text);
        if (played[i].climb)
            assert_string_equal(text, played[i].climb);
        passo_words_ladder(course, passage, &told.state, text, sizeof text);
        if (played[i].ladder)
            assert_string_equal(text, played[i].ladder);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_exact_sentences),
        cmocka_unit_test(test_what_is_played_and_climbed),
    };
    return cmocka_run_group_tests_name("session/words", tests, NULL, NULL);
}
