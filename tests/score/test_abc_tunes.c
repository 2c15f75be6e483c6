/* Whole tunes, note by note against abc2midi (Debian's abcmidi, an implementation that is not
 * ours). What it made of each tune lies beside it (tunes/NAME.abc2midi; goldens.sh says how it was
 * made, and the test score/abc2midi makes it anew where the program is installed). The tunes are
 * our own, of the invented Marrowby town band. */
#include "abc_tools.h"

#include <dirent.h>

#define TICKS_QUARTER 480
#define TUNES_LEAST   14
#define PATH_BYTES    1024

static char *load_text(const char *path, size_t *out_bytes)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    char *bytes = passo_xcalloc(65536, 1);
    *out_bytes = fread(bytes, 1, 65535, file);
    fclose(file);
    return bytes;
}

/* In ticks; a place that is no whole tick is rounded, as abc2midi does or may do. */
static bool near(struct passo_ratio place, long ticks)
{
    const double exact = (double)place.num * 4 * TICKS_QUARTER / (double)place.den;
    return exact - (double)ticks < 1.0 && (double)ticks - exact < 1.0;
}

static bool is_staccato(const struct passo_note *note)
{
    return note->marks & PASSO_NOTE_STACCATO;
}

static void check_note(const struct passo_score *score, const char *name, size_t i, long at,
                       long length, int midi)
{
    if (i >= score->notes)
        fail_msg("%s: abc2midi has more notes than %zu", name, score->notes);
    const struct passo_note *note = &score->note[i];
    const struct passo_ratio sounds =
        passo_ratio_mul(note->length, passo_ratio(1, is_staccato(note) ? 2 : 1));
    if (!near(note->at, at) || !near(sounds, length) ||
        passo_pitch_midi(note->pitch) + score->transposition != midi)
        fail_msg("%s: note %zu is %d at %lld/%lld of %lld/%lld, and abc2midi has %d at %ld of %ld",
                 name, i + 1, passo_pitch_midi(note->pitch), (long long)note->at.num,
                 (long long)note->at.den, (long long)note->length.num, (long long)note->length.den,
                 midi, at, length);
}

/* The bar in which a tick lies. */
static const struct passo_score_bar *bar_at(const struct passo_score *score, long at)
{
    const struct passo_score_bar *bar = score->bar;
    while (bar + 1 < score->bar + score->bars &&
           passo_ratio_cmp(bar[1].at, passo_ratio(at, 4 * TICKS_QUARTER)) <= 0)
        bar++;
    return bar;
}

static int sharps_of(struct passo_key key)
{
    return key.mode == PASSO_MODE_MINOR ? key.tonic - 3 : key.tonic;
}

/* abc2midi counts a meter's change from where it stands, up to a tick late. */
static void check_meter(const struct passo_score *score, const char *name, long at, int count,
                        int unit)
{
    const struct passo_score_bar *bar = bar_at(score, at);
    if (bar->meter.count != count || bar->meter.unit != unit)
        fail_msg("%s: at tick %ld the meter is %d/%d, and abc2midi has %d/%d", name, at,
                 bar->meter.count, bar->meter.unit, count, unit);
}

/* Microseconds a quarter, rounded down. */
static void check_tempo(const struct passo_score *score, const char *name, long us)
{
    /* Where no tempo stands it is abc2midi's own. */
    if (!score->tempi)
        return;
    const struct passo_score_tempo *tempo = &score->tempo[0];
    const double exact = 60e9 / tempo->mbpm / 4 * (double)tempo->beat.den / (double)tempo->beat.num;
    if (exact < (double)us || exact >= (double)us + 1.0)
        fail_msg("%s: %f microseconds a quarter, and abc2midi has %ld", name, exact, us);
}

static void check_line(const struct passo_score *score, const char *name, const char *line,
                       size_t *notes)
{
    long at = 0;
    long length = 0;
    int a = 0;
    int b = 0;
    if (sscanf(line, "note %ld %ld %d", &at, &length, &a) == 3)
        check_note(score, name, (*notes)++, at, length, a);
    else if (sscanf(line, "meter %ld %d/%d", &at, &a, &b) == 3)
        check_meter(score, name, at, a, b);
    else if (sscanf(line, "tempo %ld %ld", &at, &length) == 2)
        check_tempo(score, name, length);
    else if (sscanf(line, "key %ld %d", &at, &a) == 2)
        assert_int_equal(sharps_of(bar_at(score, at)->key), a);
    else
        fail_msg("%s: %s", name, line);
}

static void check_tune(const char *name)
{
    char path[PATH_BYTES];
    struct passo_score score;
    size_t bytes = 0;
    size_t notes = 0;
    snprintf(path, sizeof path, PASSO_SOURCE_DIR "/tests/score/tunes/%s.abc", name);
    char *text = load_text(path, &bytes);
    read_good(text, &score);
    snprintf(path, sizeof path, PASSO_SOURCE_DIR "/tests/score/tunes/%s.abc2midi", name);
    char *golden = load_text(path, &bytes);
    for (char *line = strtok(golden, "\n"); line; line = strtok(NULL, "\n"))
        check_line(&score, name, line, &notes);
    assert_int_equal(notes, score.notes);
    /* Every tune is sound: its bars add up. */
    assert_int_equal(passo_score_odds(&score, NULL, 0), 0);
    passo_score_deinit(&score);
    free(golden);
    free(text);
}

static void agrees_with_abc2midi(void **state)
{
    (void)state;
    size_t tunes = 0;
    DIR *folder = opendir(PASSO_SOURCE_DIR "/tests/score/tunes");
    assert_non_null(folder);
    for (struct dirent *entry = readdir(folder); entry; entry = readdir(folder)) {
        char name[sizeof entry->d_name];
        char *dot = strcpy(name, entry->d_name);
        dot = strrchr(dot, '.');
        if (!dot || strcmp(dot, ".abc") != 0)
            continue;
        *dot = '\0';
        check_tune(name);
        tunes++;
    }
    closedir(folder);
    assert_in_range(tunes, TUNES_LEAST, 1000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(agrees_with_abc2midi),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
