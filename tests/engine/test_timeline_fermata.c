/* Fermatas: held in silence after their click, prepared at the tempo that follows. At quarter = 120
 * and 48 kHz a quarter is 24,000 frames. */
#include "written_tools.h"

/* One bar of 4/4 with a fermata on its second half note, and a bar after it. */
static void write_fermata(struct passo_passage *passage, struct passo_place from, uint8_t beats)
{
    *passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    write_in(passage, change_of(PASSO_WRITTEN_FERMATA, from.bar, from.at, 2, none, ratio(3, 1)))
        ->beats = beats;
    complete(passage);
}

static void test_a_fermata_is_held_in_silence(void **state)
{
    (void)state;
    struct passo_passage passage;
    write_fermata(&passage, (struct passo_place){1, ratio(1, 2)}, 2);
    check_events(&passage, NULL, (struct passo_pulse){.subdivide = 2, .count_in_bars = 1},
                 "I1 i2 i3 i4 [ B1.1 s1.1 b1.2 s1.2 b1.3 (s1.3) (b1.4) (s1.4) i4 i4 B2.1 s2.1 b2.2 "
                 "s2.2 b2.3 s2.3 b2.4 s2.4 < B3.1 .");
    const int64_t q = QUARTER;
    const int64_t frame[] = {0,      0,      q,      2 * q,  5 * q,  8 * q,  9 * q,
                             10 * q, 11 * q, 12 * q, 13 * q, 14 * q, 14 * q, 15 * q};
    check_frames(&passage, NULL, (struct passo_pulse){0}, frame, sizeof frame / sizeof frame[0]);
    /* all of it at the landing: hold and preparation come before, at the new tempo */
    struct passo_loop loop = loop_of(1, ratio(1, 4), 2, none);
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 2, none, 2, none, ratio(2, 1)));
    complete(&passage);
    const int64_t cut[] = {0, 0, q, 4 * q, 7 * q, 15 * q / 2, 8 * q, 8 * q, 17 * q / 2};
    check_frames(&passage, &loop, (struct passo_pulse){0}, cut, sizeof cut / sizeof cut[0]);
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 [ b1.2 b1.3 (b1.4) i4 i4 < B2.1 .");
}

/* Inside the bar the preparation bears the fermata's last beat, not the one that follows. */
static void test_a_preparation_inside_the_bar(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 1);
    struct passo_written *fermata = write_in(
        &passage, change_of(PASSO_WRITTEN_FERMATA, 1, ratio(1, 4), 1, ratio(1, 2), ratio(2, 1)));
    fermata->beats = 1;
    complete(&passage);
    check_events(&passage, NULL, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 [ B1.1 b1.2 i2 b1.3 b1.4 < B2.1 .");
    fermata->to.at = ratio(5, 8);
    complete(&passage);
    check_events(&passage, NULL, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 [ B1.1 b1.2 (b1.3) i3 b1.4 < B2.1 .");
}

static void test_a_fermata_between_beats_has_its_click(void **state)
{
    (void)state;
    struct passo_passage passage;
    write_fermata(&passage, (struct passo_place){1, ratio(5, 8)}, 0);
    struct passo_loop loop = loop_of(1, ratio(1, 2), 2, ratio(1, 4));
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 i2 [ b1.3 b1.3 (b1.4) B2.1 < b2.2 .");
    loop.from.at = ratio(5, 8); /* the entry is the fermata */
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 i2 i3 [ b1.3 (b1.4) B2.1 < b2.2 .");
    loop.from.at = ratio(1, 2); /* a subdivision falls on it: no second click */
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1, .subdivide = 2},
                 "I1 i2 i3 i4 I1 i2 [ b1.3 s1.3 (b1.4) (s1.4) B2.1 s2.1 < b2.2 .");
    loop.to = (struct passo_place){1, ratio(5, 8)}; /* landing on it: not held, no second click */
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 i2 [ b1.3 < b1.3 .");
    const int64_t q = QUARTER;
    const int64_t frame[] = {0, 0, q / 2, q / 2, q};
    check_frames(&passage, &loop, (struct passo_pulse){0}, frame, 5);
}

static void test_a_loop_from_inside_a_fermata(void **state)
{
    (void)state;
    struct passo_passage passage;
    write_fermata(&passage, (struct passo_place){1, ratio(1, 2)}, 1);
    struct passo_loop loop = loop_of(1, ratio(3, 4), 2, none);
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 i2 i3 [ (b1.4) i4 < B2.1 .");
    const int64_t q = QUARTER;
    const int64_t frame[] = {0, 0, 3 * q, 4 * q, 4 * q, 5 * q};
    check_frames(&passage, &loop, (struct passo_pulse){0}, frame, 6);
    loop = loop_of(2, none, 3, none); /* after it: nothing of it is left */
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 [ B2.1 b2.2 b2.3 b2.4 < B3.1 .");
}

static void test_what_silences_the_preparation(void **state)
{
    (void)state;
    struct passo_passage passage;
    write_fermata(&passage, (struct passo_place){1, ratio(3, 4)}, 1);
    struct passo_loop loop = loop_of(1, ratio(3, 4), 2, ratio(1, 4));
    const struct passo_pulse loud[] = {
        {.mute_permille = 1000}, {.thin = PASSO_THIN_TWO_BARS}, {.place = PASSO_PLACE_OFF_BEAT}};
    const struct passo_pulse quiet[] = {{.silent = 1 << PASSO_CLICK_COUNT},
                                        {.thin = PASSO_THIN_COUNT_IN}};
    for (size_t i = 0; i < 3; i++) {
        char text[512];
        struct passo_timeline *timeline = build(&passage, &loop, loud[i], 120000);
        assert_non_null(strstr(strchr(written(timeline, text, sizeof text), '['), " i4 "));
        free(timeline);
    }
    for (size_t i = 0; i < 2; i++) {
        char text[512];
        struct passo_timeline *timeline = build(&passage, &loop, quiet[i], 120000);
        assert_non_null(strstr(strchr(written(timeline, text, sizeof text), '['), "(i4)"));
        free(timeline);
    }
    write_in(&passage, change_of(PASSO_WRITTEN_SILENT, 1, ratio(3, 4), 2, none, ratio(1, 1)));
    complete(&passage); /* a pause under the fermata: what prepares the next note is heard */
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 i2 i3 [ (b1.4) i4 B2.1 < b2.2 .");
    passage.written[1].to = (struct passo_place){2, ratio(1, 4)};
    check_events(&passage, &loop, (struct passo_pulse){.count_in_bars = 1},
                 "I1 i2 i3 i4 I1 i2 i3 [ (b1.4) (i4) (B2.1) < b2.2 .");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_fermata_is_held_in_silence),
        cmocka_unit_test(test_a_preparation_inside_the_bar),
        cmocka_unit_test(test_a_fermata_between_beats_has_its_click),
        cmocka_unit_test(test_a_loop_from_inside_a_fermata),
        cmocka_unit_test(test_what_silences_the_preparation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
