/* What holds of every score that was read, whatever its bytes were. */
#include "check_score.h"

enum { FAULT_BYTES = 512, BARS = 4, PARTS = 4, DRAWN_METERS = 4 };

static struct passo_notes notes;
static struct passo_notes again;

static void check_sentence(const char *fault)
{
    FUZZ_CHECK(fault[0] && fault[strlen(fault) - 1] != '.' && fuzz_is_clean(fault));
}

static bool is_above(struct passo_ratio a, struct passo_ratio b)
{
    return passo_ratio_cmp(a, b) > 0;
}

static void check_bars(const struct passo_score *score)
{
    struct passo_ratio at = {0, 1};
    FUZZ_CHECK(score->bars > 0);
    for (size_t i = 0; i < score->bars; i++) {
        const struct passo_score_bar *bar = &score->bar[i];
        FUZZ_CHECK(passo_ratio_cmp(bar->at, at) == 0 && bar->length.num > 0);
        FUZZ_CHECK(bar->meter.groups > 0 && (!bar->pickup || i == 0));
        FUZZ_CHECK(bar->key.tonic >= -PASSO_TONIC_MAX && bar->key.tonic <= PASSO_TONIC_MAX);
        at = passo_ratio_add(bar->at, bar->length);
    }
}

static void check_notes(const struct passo_note *note, size_t count)
{
    for (size_t i = 0; i < count; i++, note++) {
        FUZZ_CHECK(note->length.num > 0);
        FUZZ_CHECK(note->pitch.octave >= PASSO_OCTAVE_MIN &&
                   note->pitch.octave <= PASSO_OCTAVE_MAX);
        if (i)
            FUZZ_CHECK(!is_above(passo_ratio_add(note[-1].at, note[-1].length), note->at));
    }
}

static void check_score(const struct passo_score *score)
{
    check_bars(score);
    check_notes(score->note, score->notes);
    FUZZ_CHECK(fuzz_is_clean(score->title) && fuzz_is_clean(score->part));
    FUZZ_CHECK(score->parts > 0);
    for (size_t i = 0; i < score->parts; i++)
        FUZZ_CHECK(fuzz_is_clean(score->part_name[i]));
    for (size_t i = 0; i < score->tempi; i++)
        FUZZ_CHECK(score->tempo[i].mbpm >= PASSO_TEMPO_MIN_MBPM &&
                   score->tempo[i].mbpm <= PASSO_TEMPO_MAX_MBPM && score->tempo[i].beat.num > 0);
    FUZZ_CHECK(passo_score_odds(score, NULL, 0) <= score->bars);
}

void fuzz_check_score_fault(const struct passo_score *score, const char *fault)
{
    check_sentence(fault);
    FUZZ_CHECK(!score->note && !score->bar && !score->tempo && !score->part_name);
    FUZZ_CHECK(!score->notes && !score->bars && !score->tempi && !score->parts);
}

/* The passage's notes in ABC, read and laid over it again. */
static void check_written(const struct passo_passage *passage, struct passo_key key)
{
    struct passo_score score;
    char fault[FAULT_BYTES] = "";
    char *line = NULL;
    size_t bytes = 0;
    const struct passo_score_ask ask = {.part = "", .meter = passage->meter, .key = key};
    FILE *to = open_memstream(&line, &bytes);
    FUZZ_CHECK(to);
    const bool fine = passo_abc_write(&notes, passage, key, to);
    fclose(to);
    if (fine) {
        FUZZ_CHECK(passo_abc_read(line, bytes, &ask, &score, fault, sizeof fault) == PASSO_OK);
        FUZZ_CHECK(passo_score_fit(&score, 1, passage, passage->first_bar, 0, &again, fault,
                                   sizeof fault) == PASSO_OK);
        FUZZ_CHECK(again.notes == notes.notes);
        for (size_t i = 0; i < notes.notes; i++) {
            FUZZ_CHECK(passo_ratio_cmp(again.note[i].at, notes.note[i].at) == 0);
            FUZZ_CHECK(passo_ratio_cmp(again.note[i].length, notes.note[i].length) == 0);
            FUZZ_CHECK(again.note[i].pitch.fifths == notes.note[i].pitch.fifths);
            FUZZ_CHECK(again.note[i].pitch.octave == notes.note[i].pitch.octave);
            FUZZ_CHECK(again.note[i].marks == notes.note[i].marks);
        }
        passo_score_deinit(&score);
    }
    free(line);
}

/* A passage somewhere in the score, in the meter that is in force there. */
static void check_fit(const struct passo_score *score, struct passo_random *random)
{
    struct passo_passage passage = {0};
    char fault[FAULT_BYTES] = "";
    const int16_t semitones = (int16_t)((int)passo_random_below(random, 49) - 24);
    const struct passo_score_bar *bar =
        &score->bar[passo_random_below(random, (uint32_t)score->bars)];
    passage.meter = bar->meter;
    passage.beat = passo_meter_beat_unit(&bar->meter);
    passage.first_bar = 33;
    passage.bars = 1 + (int32_t)passo_random_below(random, BARS);
    passage.pickup = (struct passo_ratio){0, 1};
    if (fuzz_one_in(random, 2))
        passage.pickup = passo_ratio_mul(passo_meter_length(&bar->meter), passo_ratio(1, 2));
    if (passo_passage_complete(&passage))
        return;
    if (passo_score_fit(score, bar->number, &passage, passage.first_bar, semitones, &notes, fault,
                        sizeof fault)) {
        FUZZ_CHECK(notes.notes == 0);
        check_sentence(fault);
        return;
    }
    FUZZ_CHECK(notes.notes > 0 && notes.notes <= PASSO_NOTES_MAX);
    check_notes(notes.note, notes.notes);
    check_written(&passage, bar->key);
}

void fuzz_check_score(const struct passo_score *score, struct passo_random *random)
{
    check_score(score);
    check_fit(score, random);
}

void fuzz_score_ask(struct passo_random *random, struct passo_score_ask *out_ask)
{
    static const char *const parts[PARTS] = {"", "1", "2", "a"};
    static const int meters[DRAWN_METERS][2] = {{4, 4}, {3, 4}, {6, 8}, {1, 8}};
    const int *meter = meters[passo_random_below(random, DRAWN_METERS)];
    *out_ask = (struct passo_score_ask){.part = parts[passo_random_below(random, PARTS)]};
    FUZZ_CHECK(passo_meter_init(&out_ask->meter, meter[0], meter[1]) == PASSO_OK);
    out_ask->key.tonic = (int8_t)((int)passo_random_below(random, 15) - 7);
}
