/* Written changes of time: which of them passo_passage_complete() takes. */
#include "time_tools.h"

static const struct passo_ratio none = {0, 1};

/* Bars 1-8 of 4/4 with a pickup: a tempo from the pickup on, a rit. in 3-4 with a breath in it, a
 * fermata on the half note of 5.3, a general pause under its end, equal notes at the end. */
static struct passo_passage changing(void)
{
    struct passo_passage passage = {
        .meter = meter_of(4, 4), .beat = {1, 4}, .first_bar = 1, .bars = 8, .pickup = {1, 4}};
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 0, ratio(3, 4), 0, ratio(3, 4), ratio(4, 5)));
    write_in(&passage, change_of(PASSO_WRITTEN_TO, 3, none, 4, ratio(1, 1), ratio(1, 16)));
    write_in(&passage, change_of(PASSO_WRITTEN_BREATH, 4, none, 4, none, ratio(16, 1)));
    write_in(&passage,
             change_of(PASSO_WRITTEN_FERMATA, 5, ratio(1, 2), 5, ratio(1, 1), ratio(2, 1)))
        ->beats = 16;
    write_in(&passage, change_of(PASSO_WRITTEN_SILENT, 5, ratio(3, 4), 6, none, ratio(1, 1)));
    write_in(&passage, change_of(PASSO_WRITTEN_SAME_NOTE, 9, none, 9, none, ratio(3, 2)));
    return passage;
}

static void spoil_order(struct passo_passage *p)
{
    p->written[5].from = p->written[5].to = (struct passo_place){2, none};
}

static void spoil_count(struct passo_passage *p)
{
    p->writtens = PASSO_WRITTEN_MAX + 1;
}

static void spoil_kind(struct passo_passage *p)
{
    p->written[2].kind = PASSO_WRITTEN_COUNT;
}

static void spoil_before_the_pickup(struct passo_passage *p)
{
    p->written[0].from.at = ratio(1, 2);
}

static void spoil_after_the_end(struct passo_passage *p)
{
    p->written[5].from.at = ratio(1, 64);
}

static void spoil_end_outside(struct passo_passage *p)
{
    p->written[4].to = (struct passo_place){9, ratio(1, 4)};
}

static void spoil_length(struct passo_passage *p)
{
    p->written[1].to = p->written[1].from;
}

static void spoil_backward_pause(struct passo_passage *p)
{
    p->written[4].to = (struct passo_place){5, none};
}

static void spoil_overlap(struct passo_passage *p)
{
    p->written[1].to = (struct passo_place){5, ratio(3, 4)};
}

static void spoil_tempo_in_rit(struct passo_passage *p)
{
    p->written[2].kind = PASSO_WRITTEN_TEMPO;
}

static void spoil_tempo_in_fermata(struct passo_passage *p)
{
    p->written[4].kind = PASSO_WRITTEN_TEMPO;
}

static void spoil_breath_in_fermata(struct passo_passage *p)
{
    p->written[4].kind = PASSO_WRITTEN_BREATH;
}

static void spoil_share_low(struct passo_passage *p)
{
    p->written[0].share = ratio(1, 17);
}

static void spoil_share_high(struct passo_passage *p)
{
    p->written[3].share = ratio(161, 10);
}

static void spoil_share_zero(struct passo_passage *p)
{
    p->written[0].share = (struct passo_ratio){0, 0};
}

static void spoil_share_sign(struct passo_passage *p)
{
    p->written[0].share = (struct passo_ratio){-3, -4};
}

static void spoil_share_fine(struct passo_passage *p)
{
    p->written[0].share = ratio(1000001, 1000000);
}

static void spoil_pause_share(struct passo_passage *p)
{
    p->written[4].share = ratio(1, 2);
}

static void spoil_beats(struct passo_passage *p)
{
    p->written[3].beats = 17;
}

/* 1/16 is in force after the rit.: any slower is out of range. */
static void spoil_tempo_in_force(struct passo_passage *p)
{
    p->written[5].share = ratio(15, 16);
}

static void spoil_fine_place(struct passo_passage *p)
{
    p->written[5].from = p->written[5].to = (struct passo_place){8, ratio(1, 257)};
}

static void spoil_long_note(struct passo_passage *p)
{
    p->bars = 80;
    p->written[3].from = (struct passo_place){5, none};
    p->written[3].to = (struct passo_place){69, ratio(1, 64)};
    p->written[4].to = (struct passo_place){70, none};
    p->written[5].from = p->written[5].to = (struct passo_place){80, none};
}

static void test_faulty_changes_are_refused(void **state)
{
    (void)state;
    void (*const fault[])(struct passo_passage *) = {
        spoil_order,         spoil_count,       spoil_kind,
        spoil_length,        spoil_overlap,     spoil_before_the_pickup,
        spoil_after_the_end, spoil_end_outside, spoil_backward_pause,
        spoil_tempo_in_rit,  spoil_share_low,   spoil_tempo_in_fermata,
        spoil_share_high,    spoil_share_zero,  spoil_breath_in_fermata,
        spoil_share_sign,    spoil_share_fine,  spoil_tempo_in_force,
        spoil_pause_share,   spoil_beats,       spoil_fine_place,
        spoil_long_note,
    };
    for (size_t i = 0; i < sizeof fault / sizeof fault[0]; i++) {
        struct passo_passage passage = changing();
        struct passo_passage good = passage;
        assert_int_equal(passo_passage_complete(&good), PASSO_OK);
        fault[i](&passage);
        assert_int_equal(passo_passage_complete(&passage), PASSO_ERR_RANGE);
    }
}

/* At one place: a tempo and the rit. that begins from it, in either order, and a span that begins
 * where the last one ends. */
static void test_changes_that_meet_are_taken(void **state)
{
    (void)state;
    struct passo_passage passage = changing();
    passage.written[2] = passage.written[1];
    passage.written[1] =
        change_of(PASSO_WRITTEN_TEMPO, 2, ratio(4, 4), 2, ratio(4, 4), ratio(1, 2));
    passage.written[3].from = (struct passo_place){5, none};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_written first = passage.written[1];
    passage.written[1] = passage.written[2];
    passage.written[2] = first;
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_faulty_changes_are_refused),
        cmocka_unit_test(test_changes_that_meet_are_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
