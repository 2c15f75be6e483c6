/* Click sets from files: what is written is read back; missing, broken, empty, silent, huge, many
 * channelled and odd files; the onset sits on the first frame; a failure changes nothing. */
#include "help.h"

#include "output/samples.h"

#include <math.h>

#define RATE_HZ 48000
#define WAV16   (SF_FORMAT_WAV | SF_FORMAT_PCM_16)
#define WAVF    (SF_FORMAT_WAV | SF_FORMAT_FLOAT)

static char fault[256];

static enum passo_error load(struct passo_kit *kit)
{
    fault[0] = '\0';
    return passo_samples_load(kit, folder, fault, sizeof fault);
}

/* Loads the folder, which must fail so; the kit keeps its samples, and the sentence names `part`.
 */
static void check_refused(enum passo_error wanted, const char *part)
{
    struct passo_kit kit = plain_kit(RATE_HZ, 10);
    const struct passo_kit before = kit;
    assert_int_equal(load(&kit), wanted);
    assert_memory_equal(&kit, &before, sizeof kit);
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++)
        assert_true(kit.click[i].frame[9] == plain_click((enum passo_click)i));
    assert_non_null(strstr(fault, part));
    passo_kit_deinit(&kit);
}

/* A kit of the real sounds, whose loudness a set is brought to. */
static struct passo_kit real_kit(uint32_t rate_hz)
{
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_RIM, rate_hz);
    return kit;
}

static float first_of(const struct passo_kit *kit, enum passo_click click)
{
    return kit->click[click].frame[0];
}

/* A tone that starts at its crest and dies away; loud from its first sample. */
static void write_tone(const char *name, int format, int rate_hz, float level, size_t frames)
{
    float *tone = malloc(frames * sizeof *tone);
    for (size_t i = 0; i < frames; i++)
        tone[i] = level * cosf((float)i * 0.3F) * (float)(frames - i) / (float)frames;
    write_audio(name, format, rate_hz, 1, tone, frames);
    free(tone);
}

static void test_saved_set_is_read_back(void **state)
{
    (void)state;
    struct passo_kit made = real_kit(RATE_HZ);
    struct passo_kit kit = real_kit(RATE_HZ);
    kit.cue[0].frame[0] = 0.25F;
    assert_int_equal(passo_samples_save(&made, folder, fault, sizeof fault), PASSO_OK);
    assert_int_equal(load(&kit), PASSO_OK);
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        assert_int_equal(kit.click[i].frames, made.click[i].frames);
        for (size_t k = 0; k < made.click[i].frames; k++)
            assert_true(fabsf(kit.click[i].frame[k] - made.click[i].frame[k]) < 3.0F / 32768);
    }
    assert_true(kit.cue[0].frame[0] == 0.25F); /* cues stay */
    passo_kit_deinit(&made);
    passo_kit_deinit(&kit);
}

/* The header of what is saved, byte by byte (references.md 9.4: WAV, 16 bit mono, 48 kHz). */
static void test_saved_header(void **state)
{
    (void)state;
    const unsigned char wanted[] = {'f',  'm',  't',  ' ',  16,   0,    0,    0,    1, 0, 1,  0,
                                    0x80, 0xBB, 0x00, 0x00, 0x00, 0x77, 0x01, 0x00, 2, 0, 16, 0};
    unsigned char header[36];
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_BELL, RATE_HZ);
    assert_int_equal(passo_samples_save(&kit, folder, fault, sizeof fault), PASSO_OK);
    passo_kit_deinit(&kit);
    FILE *file = fopen(path_of("count-bar.wav"), "rb");
    assert_non_null(file);
    assert_int_equal(fread(header, 1, sizeof header, file), sizeof header);
    fclose(file);
    assert_memory_equal(header, "RIFF", 4);
    assert_memory_equal(header + 8, "WAVE", 4);
    assert_memory_equal(header + 12, wanted, sizeof wanted);
}

static void test_missing_sounds_are_filled_in(void **state)
{
    (void)state;
    struct passo_kit kit = real_kit(RATE_HZ);
    write_tone("bar.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, RATE_HZ, 0.5F, 300);
    write_tone("beat.wav", WAVF, RATE_HZ, 0.25F, 200);
    write_bytes("notes.txt", "not a sound", 11);
    assert_int_equal(load(&kit), PASSO_OK);
    const float sub = kit.click[PASSO_CLICK_SUB].frame[3] / kit.click[PASSO_CLICK_BEAT].frame[3];
    assert_true(fabs(20 * log10((double)sub) + 10) < 0.001);
    const float beat = first_of(&kit, PASSO_CLICK_BEAT);
    assert_true(first_of(&kit, PASSO_CLICK_GROUP) == beat);
    assert_true(first_of(&kit, PASSO_CLICK_COUNT) == beat);
    assert_true(fabsf(first_of(&kit, PASSO_CLICK_BAR) / beat - 2.0F) < 0.001F);
    assert_int_equal(kit.click[PASSO_CLICK_COUNT_BAR].frames, 300);
    passo_kit_deinit(&kit);
}

/* Each of the six from its own file, whatever its kind; all moved by one gain. */
static void test_every_sound_has_its_file(void **state)
{
    (void)state;
    static const char *const names[PASSO_CLICK_COUNT_OF] = {[PASSO_CLICK_BAR] = "bar.wav",
                                                            [PASSO_CLICK_GROUP] = "group.aiff",
                                                            [PASSO_CLICK_BEAT] = "beat.flac",
                                                            [PASSO_CLICK_SUB] = "sub.w64",
                                                            [PASSO_CLICK_COUNT_BAR] =
                                                                "count-bar.au",
                                                            [PASSO_CLICK_COUNT] = "count.caf"};
    static const int formats[PASSO_CLICK_COUNT_OF] = {
        [PASSO_CLICK_BAR] = SF_FORMAT_WAV,      [PASSO_CLICK_GROUP] = SF_FORMAT_AIFF,
        [PASSO_CLICK_BEAT] = SF_FORMAT_FLAC,    [PASSO_CLICK_SUB] = SF_FORMAT_W64,
        [PASSO_CLICK_COUNT_BAR] = SF_FORMAT_AU, [PASSO_CLICK_COUNT] = SF_FORMAT_CAF};
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++)
        write_tone(names[i], formats[i] | SF_FORMAT_PCM_24, RATE_HZ, 0.1F * (float)(i + 1),
                   (size_t)(200 + i));
    struct passo_kit kit = real_kit(RATE_HZ);
    assert_int_equal(load(&kit), PASSO_OK);
    const float unit = first_of(&kit, PASSO_CLICK_BAR);
    for (int i = 0; i < PASSO_CLICK_COUNT_OF; i++) {
        assert_int_equal(kit.click[i].frames, 200 + i);
        assert_true(fabsf(first_of(&kit, (enum passo_click)i) / unit - (float)(i + 1)) < 0.001F);
    }
    passo_kit_deinit(&kit);
}

static void test_bar_and_beat_must_be_there(void **state)
{
    (void)state;
    check_refused(PASSO_ERR_FILE, "bar");
    write_tone("bar.wav", WAV16, RATE_HZ, 0.5F, 100);
    check_refused(PASSO_ERR_FILE, "beat");
    struct passo_kit kit = plain_kit(RATE_HZ, 10);
    assert_int_equal(passo_samples_load(&kit, "/nowhere/at all", fault, sizeof fault),
                     PASSO_ERR_FILE);
    assert_non_null(strstr(fault, "/nowhere/at all"));
    passo_kit_deinit(&kit);
}

static void test_files_that_are_no_sound(void **state)
{
    (void)state;
    write_tone("beat.wav", WAV16, RATE_HZ, 0.5F, 100);
    write_bytes("bar.wav", "this is a text", 14);
    check_refused(PASSO_ERR_SYNTAX, "bar.wav");
    write_bytes("bar.wav", "", 0);
    check_refused(PASSO_ERR_SYNTAX, "bar.wav");
    float silence[1000] = {0};
    write_audio("bar.wav", WAV16, RATE_HZ, 1, silence, 0);
    check_refused(PASSO_ERR_RANGE, "no sound");
    write_audio("bar.wav", WAV16, RATE_HZ, 1, silence, 1000);
    check_refused(PASSO_ERR_RANGE, "silence");
    silence[500] = 0.0009F; /* under -60 dB */
    write_audio("bar.wav", WAVF, RATE_HZ, 1, silence, 1000);
    check_refused(PASSO_ERR_RANGE, "silence");
    write_tone("bar.wav", WAV16, RATE_HZ, 0.5F, 100);
    write_bytes("group.ogg", "OggS and so on",
                14); /* one that may be left out must still be good */
    check_refused(PASSO_ERR_SYNTAX, "group.ogg");
}

/* Never opened for reading: a pipe without a writer would hang the program. */
static void test_pipes_and_folders(void **state)
{
    (void)state;
    write_tone("beat.wav", WAV16, RATE_HZ, 0.5F, 100);
    assert_int_equal(mkfifo(path_of("bar.wav"), 0600), 0);
    check_refused(PASSO_ERR_FILE, "bar.wav");
    assert_int_equal(remove(path_of("bar.wav")), 0);
    assert_int_equal(mkdir(path_of("bar.wav"), 0700), 0);
    check_refused(PASSO_ERR_FILE, "bar.wav");
}

/* A minute of sound: 4 s are kept, faded to exactly 0. */
static void test_huge_file_is_cut(void **state)
{
    (void)state;
    size_t frames = 60 * 16000;
    float *long_one = malloc(frames * sizeof *long_one);
    for (size_t i = 0; i < frames; i++)
        long_one[i] = 0.5F;
    write_audio("bar.wav", WAV16, 16000, 1, long_one, frames);
    write_tone("beat.wav", WAV16, RATE_HZ, 0.5F, 100);
    free(long_one);
    struct passo_kit kit = real_kit(16000);
    assert_int_equal(load(&kit), PASSO_OK);
    const struct passo_sample *bar = &kit.click[PASSO_CLICK_BAR];
    const float level = bar->frame[0];
    assert_int_equal(bar->frames, 4 * 16000);
    assert_true(bar->frame[bar->frames - 1] == 0.0F);
    assert_true(bar->frame[bar->frames - 81] == level); /* 5 ms before the end the fade begins */
    for (size_t i = bar->frames - 80; i < bar->frames; i++)
        assert_true(bar->frame[i - 1] - bar->frame[i] < level / 79 * 1.01F);
    passo_kit_deinit(&kit);
}

static void test_channels_are_mixed(void **state)
{
    (void)state;
    float eight[100 * 8] = {0};
    for (size_t i = 0; i < 100; i++) {
        eight[i * 8] = 0.8F;
        eight[i * 8 + 7] = 0.4F;
    }
    write_audio("bar.wav", WAVF, RATE_HZ, 8, eight, 100);
    write_tone("beat.wav", WAVF, RATE_HZ, 0.5F, 100);
    struct passo_kit kit = real_kit(RATE_HZ);
    assert_int_equal(load(&kit), PASSO_OK);
    const float share = kit.click[PASSO_CLICK_BAR].frame[20] / first_of(&kit, PASSO_CLICK_BEAT);
    assert_true(fabsf(share - 0.15F / 0.5F) < 1e-6F);
    passo_kit_deinit(&kit);
}

static float highest_of(const struct passo_sample *sample, size_t from, size_t to)
{
    float highest = 0;
    for (size_t i = from; i < to; i++)
        highest = fmaxf(highest, fabsf(sample->frame[i]));
    return highest;
}

/* Silence and noise under -60 dB before a tone of 375 Hz: cut at the file's rate, the onset stays
 * on the first frame through the resampling, and each crest k sits at k * kit rate / 375. */
static void check_onset(int file_hz, uint32_t kit_hz)
{
    size_t before = (size_t)file_hz / 10 + 13;
    size_t frames = before + (size_t)file_hz / 20;
    float *tone = calloc(frames, sizeof *tone);
    for (size_t i = 0; i < frames; i++) {
        double turn = 2 * 3.14159265358979 * 375 * ((double)i - (double)before) / file_hz;
        tone[i] = i < before ? (i % 2 ? 0.0009F : -0.0009F) : 0.5F * (float)cos(turn);
    }
    write_audio("bar.wav", WAVF, file_hz, 1, tone, frames);
    write_tone("beat.wav", WAV16, file_hz, 0.5F, 100);
    free(tone);
    struct passo_kit kit = real_kit(kit_hz);
    assert_int_equal(load(&kit), PASSO_OK);
    const struct passo_sample *bar = &kit.click[PASSO_CLICK_BAR];
    const double crest_height = (double)highest_of(bar, kit_hz / 100, kit_hz / 25);
    assert_true(fabs((double)bar->frame[0]) > 0.4 * crest_height);
    assert_in_range(bar->frames, kit_hz / 20 - 2, kit_hz / 20 + 2);
    for (int crest = 3; crest < 15; crest++) {
        double turn = (double)crest * kit_hz / 375;
        size_t at = (size_t)lround(turn);
        double wanted = cos(2 * 3.14159265358979 * 375 * (double)at / kit_hz);
        assert_true(fabs((double)bar->frame[at] / crest_height - wanted) < 0.02);
    }
    passo_kit_deinit(&kit);
}

static void test_onset_sits_on_the_first_frame(void **state)
{
    (void)state;
    check_onset(48000, 48000);
    check_onset(44100, 48000);
    check_onset(48000, 44100);
    check_onset(384000, 48000);
    check_onset(8000, 96000);
    check_onset(192000, 44100);
}

static void test_broken_numbers_and_too_loud(void **state)
{
    (void)state;
    float odd[400];
    for (size_t i = 0; i < 400; i++)
        odd[i] = i % 2 ? -4.0F : 4.0F;
    odd[10] = NAN;
    odd[11] = INFINITY;
    write_audio("bar.wav", WAVF, RATE_HZ, 1, odd, 400);
    write_tone("beat.wav", WAV16, RATE_HZ, 0.5F, 1); /* one frame */
    struct passo_kit kit = real_kit(RATE_HZ);
    assert_int_equal(load(&kit), PASSO_OK);
    const float full = first_of(&kit, PASSO_CLICK_BAR);
    assert_true(full > 0.0F && full <= 0.9F);
    for (size_t i = 0; i < kit.click[PASSO_CLICK_BAR].frames; i++) {
        float sample = fabsf(kit.click[PASSO_CLICK_BAR].frame[i]);
        assert_true(i == 10 || i == 11 ? sample == 0.0F
                    : i < 100          ? sample == full
                                       : sample <= full);
    }
    assert_int_equal(kit.click[PASSO_CLICK_BEAT].frames, 1);
    passo_kit_deinit(&kit);
}

/* Damaged files: whatever a flipped byte or a cut does, it loads or is refused. For ASan. */
static void test_damaged_files(void **state)
{
    (void)state;
    unsigned seed = 5;
    unsigned char whole[4096];
    write_tone("beat.wav", WAV16, RATE_HZ, 0.5F, 500);
    write_tone("bar.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_24, 44100, 0.5F, 500);
    FILE *file = fopen(path_of("bar.aiff"), "rb");
    assert_non_null(file);
    size_t count = fread(whole, 1, sizeof whole, file);
    fclose(file);
    int loaded = 0;
    for (int turn = 0; turn < 300; turn++) {
        unsigned char damaged[4096];
        memcpy(damaged, whole, count);
        for (int k = 0; k < 1 + turn % 4; k++) {
            seed = seed * 1664525U + 1013904223U;
            damaged[(seed >> 8) % (turn % 2 ? 64 : count)] = (unsigned char)(seed >> 24);
        }
        seed = seed * 1664525U + 1013904223U;
        write_bytes("bar.aiff", damaged, turn % 3 ? count : (seed >> 8) % count);
        struct passo_kit kit = plain_kit(8000, 10);
        loaded += load(&kit) == PASSO_OK;
        passo_kit_deinit(&kit);
    }
    assert_in_range(loaded, 20, 290);
}

/* A second writer of audio files: sox, where it is installed. */
static void test_files_made_by_sox(void **state)
{
    (void)state;
    char command[512];
    snprintf(
        command, sizeof command,
        "cd %s && sox -n -r 22050 -c 2 -b 24 bar.wav synth 0.05 sine 2000 vol 0.5 2>sox.txt && "
        "sox -n -r 32000 beat.ogg synth 0.05 sine 1500 vol 0.5 2>>sox.txt",
        folder);
    if (system("command -v sox >/dev/null 2>&1") != 0 || system(command) != 0) {
        print_message("no sox with Ogg here: skipped\n");
        skip();
    }
    struct passo_kit kit = plain_kit(RATE_HZ, 10);
    assert_int_equal(load(&kit), PASSO_OK);
    assert_in_range(kit.click[PASSO_CLICK_BAR].frames, RATE_HZ / 20 - 4, RATE_HZ / 20 + 2);
    assert_in_range(kit.click[PASSO_CLICK_BEAT].frames, RATE_HZ / 20 - 20, RATE_HZ / 20 + 200);
    passo_kit_deinit(&kit);
}

static void test_save_into_nowhere(void **state)
{
    (void)state;
    struct passo_kit kit = plain_kit(RATE_HZ, 10);
    assert_int_equal(passo_samples_save(&kit, path_of("none"), fault, sizeof fault),
                     PASSO_ERR_FILE);
    assert_non_null(strstr(fault, "none/bar.wav"));
    if (access("/dev/full", W_OK) == 0) { /* a disk without room */
        assert_int_equal(symlink("/dev/full", path_of("bar.wav")), 0);
        assert_int_equal(passo_samples_save(&kit, folder, fault, sizeof fault), PASSO_ERR_FILE);
    }
    passo_kit_deinit(&kit);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, remove_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(test_saved_set_is_read_back),
        IN_FOLDER(test_saved_header),
        IN_FOLDER(test_missing_sounds_are_filled_in),
        IN_FOLDER(test_every_sound_has_its_file),
        IN_FOLDER(test_bar_and_beat_must_be_there),
        IN_FOLDER(test_files_that_are_no_sound),
        IN_FOLDER(test_pipes_and_folders),
        IN_FOLDER(test_huge_file_is_cut),
        IN_FOLDER(test_channels_are_mixed),
        IN_FOLDER(test_onset_sits_on_the_first_frame),
        IN_FOLDER(test_broken_numbers_and_too_loud),
        IN_FOLDER(test_damaged_files),
        IN_FOLDER(test_files_made_by_sox),
        IN_FOLDER(test_save_into_nowhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
