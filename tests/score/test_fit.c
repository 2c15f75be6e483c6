/* A score laid over a passage, and the bars that do not add up. */
#include "abc_tools.h"

static struct passo_notes notes;

static struct passo_passage passage_of(int first_bar, int bars)
{
    struct passo_passage passage = {.meter = meter_of(4, 4),
                                    .beat = {1, 4},
                                    .first_bar = first_bar,
                                    .bars = bars,
                                    .pickup = {0, 1}};
    return passage;
}

static enum passo_error fit(const char *text, int32_t number, struct passo_passage *passage,
                            char fault[FAULT_BYTES])
{
    struct passo_score score;
    assert_int_equal(passo_passage_complete(passage), PASSO_OK);
    read_good(text, &score);
    const enum passo_error error =
        passo_score_fit(&score, number, passage, passage->first_bar, 0, &notes, fault, FAULT_BYTES);
    passo_score_deinit(&score);
    return error;
}

static void expect_fit(const char *text, int32_t number, struct passo_passage passage,
                       const char *wanted)
{
    char fault[FAULT_BYTES] = "";
    char all[ALL_BYTES];
    if (fit(text, number, &passage, fault))
        fail_msg("%s: %s", text, fault);
    assert_string_equal(notes_text(notes.note, notes.notes, all), wanted);
}

static void expect_fault(const char *text, int32_t number, struct passo_passage passage,
                         const char *wanted)
{
    char fault[FAULT_BYTES] = "";
    assert_int_equal(fit(text, number, &passage, fault), PASSO_ERR_RANGE);
    assert_string_equal(fault, wanted);
    assert_int_equal(notes.notes, 0);
}

static const char five[] = "[L:1/4]G|C4|D3E|F4|G4|A4|";

static void takes_the_passages_bars(void **state)
{
    (void)state;
    expect_fit(five, 2, passage_of(33, 2), "62@0+3/4 64@3/4+1/4 65@1+1");
    expect_fit(five, 1, passage_of(33, 1), "60@0+1");
    expect_fit(five, 5, passage_of(-3, 1), "69@0+1");
    /* A note that is tied in from before is not begun in it; one that goes on keeps its length. */
    expect_fit("[L:1/4]C4|D4-|D2E2-|E4|F4", 3, passage_of(3, 1), "64@1/2+3/2");
}

static void takes_pickup_and_context(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(33, 1);
    passage.pickup = passo_ratio(1, 4);
    expect_fit(five, 1, passage, "67@-1/4+1/4 60@0+1");
    /* Of a full bar before it, what the pickup is. */
    expect_fit(five, 3, passage, "64@-1/4+1/4 65@0+1");
    /* The pickup may be missing. */
    expect_fit("[L:1/4]C4|D4", 1, passage, "60@0+1");
    passage.pickup = passo_ratio(1, 8);
    expect_fit("[L:1/8]AG|C8", 1, passage, "67@-1/8+1/8 60@0+1");
    passage = passage_of(33, 1);
    passage.context = (struct passo_loop){.name = "run", .from = {31, {1, 2}}, .to = {34, {1, 2}}};
    expect_fit("[L:1/4]C2c2|D4|E4|F2f2|G4|", 3, passage, "72@-3/2+1/2 62@-1+1 64@0+1 65@1+1/2");
    /* What the score has not got of the context is let be. */
    expect_fit("[L:1/4]E4|F2f2", 1, passage, "64@0+1 65@1+1/2");
    expect_fit("[L:1/4]C2c2|D4|E4", 3, passage, "72@-3/2+1/2 62@-1+1 64@0+1");
}

/* The bar behind the passage, and behind a context that ends with a bar line, may be as it likes.
 */
static void looks_no_further_than_it_takes(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(1, 1);
    expect_fit("[L:1/4]C4|[M:3/4]D3|", 1, passage, "60@0+1");
    expect_fit("[L:1/4]C4|D5|E4|", 1, passage, "60@0+1");
    passage.context = (struct passo_loop){.name = "run", .from = {1, {0, 1}}, .to = {3, {0, 1}}};
    expect_fit("[L:1/4]C4|D4|[M:3/4]E3|", 1, passage, "60@0+1 62@1+1");
    passage.context.to = (struct passo_place){3, {1, 4}}; /* it goes on into that bar */
    expect_fault("[L:1/4]C4|D4|[M:3/4]E3|", 1, passage,
                 "bar 3 of the notes is in 3/4, and bar 3 of the passage in 4/4");
}

/* The bar that is named may lie before the passage: what is between is passed over. */
static void passes_over_what_is_before(void **state)
{
    (void)state;
    char fault[FAULT_BYTES] = "";
    char all[ALL_BYTES];
    struct passo_passage passage = passage_of(33, 1);
    struct passo_score score;
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    read_good("[L:1/4]C4|D3:|E|F4|G4|", &score);
    assert_int_equal(passo_score_fit(&score, 1, &passage, 31, 0, &notes, fault, sizeof fault),
                     PASSO_OK);
    assert_string_equal(notes_text(notes.note, notes.notes, all), "65@0+1");
    assert_int_equal(passo_score_fit(&score, 1, &passage, 29, 0, &notes, fault, sizeof fault),
                     PASSO_ERR_RANGE);
    assert_string_equal(fault, "the notes end before bar 33; the passage goes on to bar 33");
    passo_score_deinit(&score);
}

/* One bar that is short does not move what comes behind it. */
static void keeps_bars_apart(void **state)
{
    (void)state;
    expect_fit("[L:1/4]C4|D3|E4", 1, passage_of(1, 3), "60@0+1 62@1+3/4 64@2+1");
    /* Two shares of a bar are one: bar 2 is D and E, and bar 3 is F. */
    expect_fit("[L:1/4]C4|D3:|E|F4|", 2, passage_of(2, 2), "62@0+3/4 64@3/4+1/4 65@1+1");
    expect_fit("[L:1/4]C4|D3:|E|F4|", 1, passage_of(1, 3), "60@0+1 62@1+3/4 64@7/4+1/4 65@2+1");
    struct passo_passage passage = passage_of(3, 1);
    passage.pickup = passo_ratio(1, 4);
    expect_fit("[L:1/4]C4|D3:|E|F4|", 3, passage, "64@-1/4+1/4 65@0+1");
}

static void takes_the_later_of_two(void **state)
{
    (void)state;
    expect_fit("[L:1/4]C4|D4|\n%%setbarnb 2\nE4|F4|", 2, passage_of(2, 2), "64@0+1 65@1+1");
}

static void follows_the_meters(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(7, 3);
    passage.change[0] = (struct passo_meter_change){8, meter_of(3, 4)};
    passage.changes = 1;
    expect_fit("[L:1/4]C4|[M:3/4]D3|E3|", 1, passage, "60@0+1 62@1+3/4 64@7/4+3/4");
    expect_fault("[L:1/4]C4|D4|E4|", 1, passage,
                 "bar 2 of the notes is in 4/4, and bar 8 of the passage in 3/4");
    expect_fit("[L:1/4][M:C|]C4|D4", 1, passage_of(1, 2), "60@0+1 62@1+1");
}

static void names_what_is_missing(void **state)
{
    (void)state;
    expect_fault(five, 9, passage_of(33, 1), "the notes have no bar 9; theirs are bars 0 to 5");
    expect_fault(five, 5, passage_of(33, 3),
                 "the notes end before bar 34; the passage goes on to bar 35");
    expect_fault("C10|D8|", 1, passage_of(1, 2),
                 "bar 1 of the notes comes to 5/4, and its meter asks for 4/4");
    expect_fault("z8|z8|C8", 1, passage_of(1, 2), "there is no note in the passage's bars");
    char fault[FAULT_BYTES] = "";
    struct passo_passage passage = passage_of(33, 2);
    struct passo_score score;
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    read_good("C8|D8", &score);
    assert_int_equal(passo_score_fit(&score, 1, &passage, 34, 0, &notes, fault, sizeof fault),
                     PASSO_ERR_RANGE);
    assert_string_equal(fault, "the notes begin at bar 34 of the passage, which begins at bar 33");
    passo_score_deinit(&score);
    score = (struct passo_score){0};
    assert_int_equal(passo_score_fit(&score, 1, &passage, 33, 0, &notes, fault, sizeof fault),
                     PASSO_ERR_RANGE);
    assert_string_equal(fault, "there are no notes");
}

static void keeps_to_its_room(void **state)
{
    (void)state;
    static char text[PASSO_NOTES_MAX + 2];
    struct passo_passage passage = passage_of(1, 1);
    passage.meter = meter_of(64, 1);
    memset(text, 'C', sizeof text - 1);
    static char all[PASSO_NOTES_MAX + 64];
    snprintf(all, sizeof all, "[M:64/1][L:1/64]%.*s", PASSO_NOTES_MAX, text);
    char fault[FAULT_BYTES] = "";
    assert_int_equal(fit(all, 1, &passage, fault), PASSO_OK);
    assert_int_equal(notes.notes, PASSO_NOTES_MAX);
    snprintf(all, sizeof all, "[M:64/1][L:1/64]%s", text);
    expect_fault(all, 1, passage, "the passage has more than 2048 notes");
}

/* What sounds is moved to what is written: a euphonium in the treble clef (-14, a major ninth down:
 * common practice) reads C 5 where B-flat 3 sounds. */
static void moves_what_sounds(void **state)
{
    (void)state;
    char fault[FAULT_BYTES] = "";
    char all[ALL_BYTES];
    struct passo_passage passage = passage_of(1, 1);
    struct passo_score score;
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    read_good("_B,2=B,2F2_E2", &score);
    score.sounding = true;
    assert_int_equal(passo_score_fit(&score, 1, &passage, 1, -14, &notes, fault, sizeof fault),
                     PASSO_OK);
    assert_string_equal(notes_text(notes.note, notes.notes, all),
                        "72@0+1/4 73@1/4+1/4 79@1/2+1/4 77@3/4+1/4");
    /* C, C-sharp, G, F on the line of fifths. */
    assert_int_equal(notes.note[0].pitch.fifths, 0);
    assert_int_equal(notes.note[1].pitch.fifths, 7);
    assert_int_equal(notes.note[2].pitch.fifths, 1);
    assert_int_equal(notes.note[3].pitch.fifths, -1);
    score.sounding = false;
    assert_int_equal(passo_score_fit(&score, 1, &passage, 1, -14, &notes, fault, sizeof fault),
                     PASSO_OK);
    assert_int_equal(passo_pitch_midi(notes.note[0].pitch), 58);
    passo_score_deinit(&score);
}

static void names_odd_bars(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t odds;
        int32_t number; /* of the first */
        struct passo_ratio has;
    } cases[] = {
        {"C8|D8|E8", 0, 0, {0, 1}},
        {"C2|D8|E6", 0, 0, {0, 1}},     /* pickup, and its other share at the end */
        {"C8|D7|E8", 1, 2, {7, 8}},     /* short */
        {"C8|D9|E8", 1, 2, {9, 8}},     /* long */
        {"C8|D8|E9", 1, 3, {9, 8}},     /* the last may be short, not long */
        {"C10|D8", 1, 1, {5, 4}},       /* and so may a first be */
        {"C8|D6:|D2|E8", 0, 0, {0, 1}}, /* two shares at a repeat */
        {"C8|D6:|D3|E8", 2, 2, {3, 4}}, /* that do not make a bar */
        {"C8|D6|D2|E8", 2, 2, {3, 4}},  /* at a plain line they are two bars */
        {"[M:3/4]C6|D8|[M:4/4]E8|F8", 1, 2, {1, 1}},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct passo_score score;
        struct passo_score_odd odd[1] = {0};
        read_good(cases[i].text, &score);
        assert_int_equal(passo_score_odds(&score, odd, 1), cases[i].odds);
        if (cases[i].odds) {
            assert_int_equal(odd[0].number, cases[i].number);
            assert_int_equal(passo_ratio_cmp(odd[0].has, cases[i].has), 0);
        }
        assert_int_equal(passo_score_odds(&score, NULL, 0), cases[i].odds);
        passo_score_deinit(&score);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(looks_no_further_than_it_takes),
        cmocka_unit_test(passes_over_what_is_before),
        cmocka_unit_test(takes_the_passages_bars),
        cmocka_unit_test(takes_pickup_and_context),
        cmocka_unit_test(keeps_bars_apart),
        cmocka_unit_test(takes_the_later_of_two),
        cmocka_unit_test(follows_the_meters),
        cmocka_unit_test(names_what_is_missing),
        cmocka_unit_test(keeps_to_its_room),
        cmocka_unit_test(moves_what_sounds),
        cmocka_unit_test(names_odd_bars),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
