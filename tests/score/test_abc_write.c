/* Notes written as ABC read back to the same notes: some by hand, and thousands drawn over drawn
 * passages, whichever way accidentals are held. */
#include "abc_tools.h"

#include <passo/random.h>

enum { DRAWS = 1500, DRAWN_BARS_MAX = 6, LINE_BYTES = 65536 };

static struct passo_notes notes;
static struct passo_notes again;

static struct passo_passage passage_of(int first_bar, int bars, struct passo_meter meter)
{
    struct passo_passage passage = {.meter = meter,
                                    .beat = passo_meter_beat_unit(&meter),
                                    .first_bar = first_bar,
                                    .bars = bars,
                                    .pickup = {0, 1}};
    return passage;
}

static void add_note(struct passo_ratio at, struct passo_ratio length, struct passo_pitch pitch,
                     unsigned marks)
{
    notes.note[notes.notes++] =
        (struct passo_note){.at = at, .length = length, .pitch = pitch, .marks = (uint8_t)marks};
}

/* The line; false if it cannot be written. */
static bool write_line(const struct passo_passage *passage, struct passo_key key,
                       char out[LINE_BYTES])
{
    FILE *to = fmemopen(out, LINE_BYTES, "w");
    assert_non_null(to);
    const bool fine = passo_abc_write(&notes, passage, key, to);
    assert_int_equal(fclose(to), 0);
    return fine;
}

static void assert_same_notes(const char *line)
{
    static char wrote[LINE_BYTES];
    static char read[LINE_BYTES];
    assert_int_equal(again.notes, notes.notes);
    for (size_t i = 0; i < notes.notes; i++) {
        notes_text(&notes.note[i], 1, wrote);
        notes_text(&again.note[i], 1, read);
        if (strcmp(wrote, read) != 0 || notes.note[i].pitch.fifths != again.note[i].pitch.fifths)
            fail_msg("note %zu: %s (%d) was read as %s (%d) of %s", i + 1, wrote,
                     notes.note[i].pitch.fifths, read, again.note[i].pitch.fifths, line);
    }
}

/* Reads the line after some words that stand before it. */
static void read_back(const struct passo_passage *passage, struct passo_key key, const char *before,
                      const char *line)
{
    static char text[LINE_BYTES + 64];
    const struct passo_score_ask ask = {.meter = passage->meter, .key = key};
    struct passo_score score;
    char fault[FAULT_BYTES] = "";
    snprintf(text, sizeof text, "%s%s", before, line);
    if (passo_abc_read(text, strlen(text), &ask, &score, fault, sizeof fault))
        fail_msg("%s: %s", fault, text);
    assert_int_equal(passo_score_odds(&score, NULL, 0), 0);
    if (passo_score_fit(&score, 1, passage, passage->first_bar, 0, &again, fault, sizeof fault))
        fail_msg("%s: %s", fault, text);
    assert_same_notes(text);
    passo_score_deinit(&score);
}

/* --- by hand --- */

static void writes_what_a_player_would(void **state)
{
    (void)state;
    static char line[LINE_BYTES];
    struct passo_passage passage = passage_of(33, 2, meter_of(4, 4));
    const struct passo_key key = {-2, PASSO_MODE_MAJOR};
    passage.pickup = passo_ratio(1, 4);
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    notes.notes = 0;
    /* F in the pickup, B-flat, C-sharp tied over the bar, a triplet, a rest, a slur. */
    add_note(passo_ratio(-1, 8), passo_ratio(1, 8), passo_pitch_of(3, 0, 3), 0);
    add_note(passo_ratio(0, 1), passo_ratio(1, 2), passo_pitch_of(6, -1, 3), PASSO_NOTE_ACCENT);
    add_note(passo_ratio(1, 2), passo_ratio(3, 4), passo_pitch_of(0, 1, 4), PASSO_NOTE_SLUR);
    for (int i = 0; i < 3; i++)
        add_note(passo_ratio(15 + i, 12), passo_ratio(1, 12), passo_pitch_of(i, 0, 5),
                 i == 2 ? 0 : PASSO_NOTE_SLUR);
    add_note(passo_ratio(7, 4), passo_ratio(1, 4), passo_pitch_of(6, 0, 3), PASSO_NOTE_STACCATO);
    assert_true(write_line(&passage, key, line));
    assert_string_equal(line, "[L:1/16] z2F,2 | !accent!B,8 (^C8- | C4 (3=c2d2=e2) z4 .=B,4 |");
    read_back(&passage, key, "", line);
}

static void begins_before_the_passage(void **state)
{
    (void)state;
    static char line[LINE_BYTES];
    struct passo_passage passage = passage_of(33, 1, meter_of(3, 4));
    const struct passo_key key = {0, PASSO_MODE_MAJOR};
    passage.context =
        (struct passo_loop){.name = "run in", .from = {31, {1, 4}}, .to = {35, {0, 1}}};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    notes.notes = 0;
    add_note(passo_ratio(-5, 4), passo_ratio(1, 1), passo_pitch_of(0, 0, 4), 0);
    add_note(passo_ratio(5, 4), passo_ratio(1, 32), passo_pitch_of(1, 0, 4), 0);
    assert_true(write_line(&passage, key, line));
    assert_string_equal(line, "[L:1/32][I:setbarnb -1] z8 C16- | C16 z8 | z24 | z16 D |");
    read_back(&passage, key, "", line);
}

static void says_what_cannot_be_written(void **state)
{
    (void)state;
    static char line[LINE_BYTES];
    struct passo_passage passage = passage_of(1, 1, meter_of(4, 4));
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    notes.notes = 0;
    add_note(passo_ratio(0, 1), passo_ratio(1, 67), passo_pitch_of(0, 0, 4), 0);
    assert_false(write_line(&passage, (struct passo_key){0, 0}, line));
    notes.notes = 0;
    add_note(passo_ratio(0, 1), passo_ratio(1, 1024), passo_pitch_of(0, 0, 4), 0);
    assert_false(write_line(&passage, (struct passo_key){0, 0}, line));
}

/* --- drawn --- */

static uint32_t draw(struct passo_random *random, uint32_t below)
{
    return passo_random_below(random, below);
}

/* Plain lengths, and those of one kind of tuplet: ever finer sums of several cannot be written. */
static struct passo_ratio draw_length(struct passo_random *random, int64_t odd)
{
    static const int64_t terms[][2] = {{1, 4}, {1, 8},  {1, 16}, {3, 8},  {1, 2}, {3, 16},
                                       {2, 1}, {1, 32}, {7, 8},  {1, 64}, {1, 8}, {9, 8}};
    const int64_t *term = terms[draw(random, sizeof terms / sizeof *terms)];
    const struct passo_ratio length = passo_ratio(term[0], term[1]);
    return draw(random, 3) ? length : passo_ratio_div(length, passo_ratio(odd, 2));
}

static struct passo_pitch draw_pitch(struct passo_random *random)
{
    /* Few letters, so that accidentals meet. */
    return passo_pitch_of((int)draw(random, 3), (int)draw(random, 5) - 2, 3 + (int)draw(random, 3));
}

static struct passo_passage draw_passage(struct passo_random *random)
{
    static const int meters[][2] = {{4, 4}, {3, 4}, {6, 8},  {7, 8},
                                    {2, 2}, {1, 8}, {12, 8}, {5, 16}};
    const size_t count = sizeof meters / sizeof *meters;
    const int *meter = meters[draw(random, count)];
    struct passo_passage passage =
        passage_of((int)draw(random, 100) - 20, 1 + (int)draw(random, DRAWN_BARS_MAX),
                   meter_of(meter[0], meter[1]));
    for (int32_t bar = 1; bar < passage.bars; bar++) {
        if (draw(random, 3))
            continue;
        meter = meters[draw(random, count)];
        passage.change[passage.changes++] =
            (struct passo_meter_change){passage.first_bar + bar, meter_of(meter[0], meter[1])};
    }
    if (draw(random, 2))
        passage.pickup = passo_ratio_mul(passo_meter_length(&passage.meter),
                                         passo_ratio(1 + draw(random, 3), 4));
    if (draw(random, 3) == 0)
        passage.context = (struct passo_loop){
            .name = "run in",
            .from = {passage.first_bar - (int)draw(random, 3), {0, 1}},
            .to = {passage.first_bar + passage.bars + (int)draw(random, 3), {0, 1}}};
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    return passage;
}

/* Notes from within what is played to within it; the last may end behind. */
static void draw_notes(struct passo_random *random, const struct passo_passage *passage)
{
    struct passo_ratio at = passo_ratio_sub(passo_ratio(0, 1), passage->pickup);
    struct passo_ratio end = passo_notes_at(passage, passage->loop[0].to);
    const struct passo_ratio from = passo_notes_at(passage, passage->context.from);
    const struct passo_ratio to = passo_notes_at(passage, passage->context.to);
    at = passo_ratio_cmp(from, at) < 0 ? from : at;
    end = passo_ratio_cmp(to, end) > 0 ? to : end;
    const int64_t odd = 3 + 2 * draw(random, 4);
    notes.notes = 0;
    while (passo_ratio_cmp(at, end) < 0) {
        const struct passo_ratio length = draw_length(random, odd);
        if (draw(random, 5))
            add_note(at, length, draw_pitch(random), draw(random, 16));
        at = passo_ratio_add(at, length);
    }
}

static void reads_back_what_it_wrote(void **state)
{
    (void)state;
    static char line[LINE_BYTES];
    struct passo_random random;
    size_t written = 0;
    passo_random_seed(&random, 6);
    for (int i = 0; i < DRAWS; i++) {
        static const char *const before[] = {"", "[I:propagate-accidentals octave]"};
        const struct passo_passage passage = draw_passage(&random);
        const struct passo_key key = {(int8_t)((int)draw(&random, 15) - 7),
                                      (uint8_t)draw(&random, PASSO_MODE_COUNT)};
        draw_notes(&random, &passage);
        if (!notes.notes || !write_line(&passage, key, line))
            continue;
        written++;
        read_back(&passage, key, before[i % 2], line);
    }
    assert_in_range(written, DRAWS * 8 / 10, DRAWS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_what_a_player_would),
        cmocka_unit_test(begins_before_the_passage),
        cmocka_unit_test(says_what_cannot_be_written),
        cmocka_unit_test(reads_back_what_it_wrote),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
