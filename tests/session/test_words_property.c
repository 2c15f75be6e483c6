/* The sentences of a climb over drawn courses with names as long as they get: every reason and
 * every outcome has one that is not empty, ends with a full stop, has no control characters and
 * fits its buffer. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <stdio.h>
#include <string.h>
#include "engine/ladder_draw.h"
#include "session/words.h"

enum { TOLD_BYTES = 2 * PASSO_WORDS_BYTES };

static bool has_reason[PASSO_REASON_COUNT];
static bool has_outcome[PASSO_OUTCOME_COUNT];

static void check_words(const char *text, size_t bytes)
{
    assert_true(strlen(text) + 1 < bytes); /* a full buffer would have been cut */
    for (const char *at = text; *at; at++) {
        assert_true((unsigned char)*at >= ' ' && *at != 0x7f);
        assert_false(at[0] == ' ' && at[1] == ' ');
    }
}

static void check_sentence(const char *text, size_t bytes)
{
    check_words(text, bytes);
    assert_true(strlen(text) > 4);
    assert_int_equal(text[strlen(text) - 1], '.');
    assert_true((text[0] >= 'A' && text[0] <= 'Z') || (text[0] >= '0' && text[0] <= '9'));
}

/* As long as names get. */
static void long_name(char *out, size_t bytes, char letter)
{
    memset(out, letter, bytes - 1);
    out[bytes - 1] = '\0';
}

static void draw_passage(struct passo_passage *passage)
{
    memset(passage, 0, sizeof *passage);
    passage->meter = (struct passo_meter){.count = 4, .unit = 4, .groups = 1, .group = {4}};
    passage->beat = passo_ratio(1, 4);
    passage->first_bar = between(1, 2000);
    passage->bars = 16;
    passage->loops = 13;
    passage->variants = 3;
    for (int i = 1; i < 13; i++) {
        passage->loop[i].from = (struct passo_place){passage->first_bar, {between(0, 3), 4}};
        passage->loop[i].to = (struct passo_place){passage->first_bar + i, {between(0, 3), 4}};
        long_name(passage->loop[i].name, sizeof passage->loop[i].name, (char)('a' + i));
    }
    long_name(passage->variant[1].name, sizeof passage->variant[1].name, 'v');
    long_name(passage->variant[2].caption, sizeof passage->variant[2].caption, 'w');
    snprintf(passage->variant[2].name, sizeof passage->variant[2].name, "way");
    passage->variant[2].octave = (int8_t)between(-4, 4);
    assert_int_equal(passo_passage_complete(passage), PASSO_OK);
}

/* False if the drawn parts do not go together. */
static bool draw_whole_course(struct passo_course *course)
{
    memset(course, 0, sizeof *course);
    course->stages = (size_t)between(1, 4);
    for (size_t i = 0; i < course->stages; i++) {
        struct passo_stage *stage = &course->stage[i];
        draw_rule(&stage->rule);
        stage->turns = (uint8_t)between(1, 3);
        for (uint8_t k = 0; k < stage->turns; k++)
            stage->turn[k] = (struct passo_turn){(uint8_t)between(0, 12), (uint8_t)between(0, 2)};
        for (uint8_t k = 0; k < 12; k++)
            stage->length[k] = k + 1;
        if (course->stages > 1)
            long_name(stage->name, sizeof stage->name, (char)('A' + i));
    }
    return passo_course_check(course, NULL, 0) == PASSO_OK;
}

static void check_all_words(const struct passo_course *course, const struct passo_passage *passage,
                            const struct passo_course_state *state, uint32_t passes)
{
    char text[TOLD_BYTES];
    struct passo_plan plan = passo_course_next(course, state);
    passo_words_result(course, passage, state, passes, one_in(3), text, PASSO_WORDS_BYTES);
    check_sentence(text, PASSO_WORDS_BYTES);
    passo_words_count(&state->ladder, &state->now, text, PASSO_WORDS_BYTES);
    check_words(text, PASSO_WORDS_BYTES);
    passo_words_climb(course, passage, state, text, PASSO_WORDS_BYTES);
    check_words(text, PASSO_WORDS_BYTES);
    assert_true(text[0]);
    passo_words_ladder(course, passage, state, text, PASSO_WORDS_BYTES);
    check_words(text, PASSO_WORDS_BYTES);
    assert_true(text[0]);
    if (plan.part == PASSO_PART_DONE)
        return;
    passo_words_what(passage, &plan, text, PASSO_WORDS_BYTES);
    check_words(text, PASSO_WORDS_BYTES);
    passo_words_pass(course, passage, &plan, text, sizeof text);
    check_words(text, sizeof text);
}

static void play_drawn(const struct passo_course *course, const struct passo_passage *passage)
{
    static struct passo_course_state state;
    char text[PASSO_WORDS_BYTES];
    passo_course_begin(course, &state);
    uint32_t likely_miss = (uint32_t)between(2, 8);
    for (uint32_t passes = 1; passes < 200 && state.now.part != PASSO_PART_DONE; passes++) {
        const struct passo_plan plan = passo_course_next(course, &state);
        struct passo_ladder_event event = draw_event(&plan, (int64_t)passes * 9000);
        event.stage = plan.stage;
        if (one_in(likely_miss))
            event.mark = PASSO_MARK_MISS;
        const struct passo_decision decision = passo_course_apply(course, &state, &event);
        passo_words_move(course, passage, &state, plan.part, &decision, text, sizeof text);
        /* a hand has no say around the climbing */
        if (decision.reason == PASSO_REASON_NONE) {
            assert_int_not_equal(event.type, PASSO_LADDER_PASS);
            assert_string_equal(text, "");
            continue;
        }
        check_sentence(text, sizeof text);
        has_reason[decision.reason] = true;
        has_outcome[state.now.outcome] = true;
        check_all_words(course, passage, &state, passes);
    }
}

static void test_every_move_and_every_end_has_a_sentence(void **state)
{
    (void)state;
    static struct passo_passage passage;
    static struct passo_course course;
    passo_random_seed(&dice, 20261125);
    int played = 0;
    for (int i = 0; i < 2000; i++) {
        draw_passage(&passage);
        if (!draw_whole_course(&course))
            continue;
        play_drawn(&course, &passage);
        played++;
    }
    assert_in_range(played, 300, 2000);
    for (int i = PASSO_REASON_NONE + 1; i < PASSO_REASON_COUNT; i++)
        if (!has_reason[i])
            fail_msg("reason %d was never drawn", i);
    for (int i = 0; i < PASSO_OUTCOME_COUNT; i++)
        if (!has_outcome[i])
            fail_msg("outcome %d was never drawn", i);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_move_and_every_end_has_a_sentence),
    };
    return cmocka_run_group_tests_name("session/words_property", tests, NULL, NULL);
}
