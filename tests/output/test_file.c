/* The file output: what is read back (by libsndfile, and byte by byte) is what the player renders,
 * frame by frame, in each kind of file; its clock is the simulated output's; its length is the one
 * asked for; the same work gives the same bytes. */
#include "file_help.h"

#include <math.h>

/* One WAV or FLAC file holds exactly the player's frames, to half a step of its numbers. */
static void check_samples(const char *name, enum passo_file_kind kind, enum passo_file_bits bits,
                          uint32_t rate_hz, int subtype, double half_step)
{
    char path[256];
    size_t frames = rate_hz * 2 + 11;
    struct passo_file_job job = {.path = place_of(path, name), .kind = kind, .bits = bits};
    write_tune(&job, rate_hz, (int64_t)frames);
    assert_false(job.failed);
    assert_int_equal(job.written, frames);
    SF_INFO info;
    float *wanted = tune_frames(rate_hz, frames);
    float *came = read_back(path, &info);
    assert_int_equal(info.frames, frames);
    assert_int_equal(info.samplerate, rate_hz);
    assert_int_equal(info.channels, 1);
    assert_int_equal(info.format & SF_FORMAT_SUBMASK, subtype);
    double loudest = 0;
    for (size_t i = 0; i < frames; i++) {
        assert_true(fabs((double)came[i] - (double)wanted[i]) <= half_step);
        loudest = fmax(loudest, fabs((double)came[i]));
    }
    assert_true(loudest > 0.5);
    free(wanted);
    free(came);
}

static void test_samples_are_the_players(void **state)
{
    (void)state;
    check_samples("a.wav", PASSO_FILE_WAV, PASSO_FILE_16, 22050, SF_FORMAT_PCM_16, 0x1p-16);
    check_samples("b.wav", PASSO_FILE_WAV, PASSO_FILE_24, 8000, SF_FORMAT_PCM_24, 0x1p-24);
    check_samples("c.wav", PASSO_FILE_WAV, PASSO_FILE_FLOAT, 11025, SF_FORMAT_FLOAT, 0);
    check_samples("d.flac", PASSO_FILE_FLAC, PASSO_FILE_16, 16000, SF_FORMAT_PCM_16, 0x1p-16);
    check_samples("e.flac", PASSO_FILE_FLAC, PASSO_FILE_24, 8000, SF_FORMAT_PCM_24, 0x1p-24);
    check_samples("f.wav", PASSO_FILE_WAV, PASSO_FILE_16, 47999, SF_FORMAT_PCM_16, 0x1p-16);
}

/* The first 48 bytes of a WAV file of 1000 frames without tags (references.md 9.4). */
static void test_wav_header(void **state)
{
    (void)state;
    static const unsigned char wanted[44] = {
        'R', 'I', 'F', 'F', 0xF4, 0x07, 0,   0,   'W', 'A',  'V',  'E',  'f', 'm',  't',
        ' ', 16,  0,   0,   0,    1,    0,   1,   0,   0x40, 0x1F, 0,    0,   0x80, 0x3E,
        0,   0,   2,   0,   16,   0,    'd', 'a', 't', 'a',  0xD0, 0x07, 0,   0};
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"), .frames = 1000};
    write_tune(&job, 8000, 1000);
    size_t count;
    unsigned char *bytes = bytes_of_file(path, &count);
    assert_int_equal(count, 44 + 2000);
    assert_memory_equal(bytes, wanted, sizeof wanted);
    free(bytes);
}

/* Frames by the time of each: rounding to nearest of exact halves, and full scale both ways. */
static void test_rounding(void **state)
{
    (void)state;
    static const struct {
        float sample;
        int wanted;
    } cases[] = {
        {0.0F, 0},
        {0x1p-15F, 1},
        {0x0.9p-15F, 1},
        {0x0.7p-15F, 0},
        {-0x0.9p-15F, -1},
        {-0x0.7p-15F, 0},
        {0.5F, 16384},
        {-0.5F, -16384},
        {0x1.8p-1F, 24576},
        {-0x1.8p-1F, -24576},
        /* the limiter ends at 1, which a step too many would make -1 */
        {1e9F, 32767},
        {-1e9F, -32768},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char path[256];
        struct passo_file_job job = {.path = place_of(path, "a.wav"), .force = true};
        struct passo_output *output = open_job(&job, 8000);
        struct passo_kit kit = plain_kit(8000, 20);
        for (size_t k = 0; k < 20; k++)
            kit.click[PASSO_CLICK_BAR].frame[k] = cases[i].sample;
        struct passo_player *player = passo_player_create(&kit, 16);
        assert_int_equal(passo_player_play(player, steady(1, 8000, 5, 100, 1)), PASSO_OK);
        assert_int_equal(ops->start(output, player), PASSO_OK);
        ops->advance(output, passo_frames_to_ns(50, 8000));
        ops->close(output);
        passo_player_destroy(player);
        size_t count;
        unsigned char *bytes = bytes_of_file(path, &count);
        assert_int_equal(count, 44 + 2 * 51);
        for (size_t frame = 0; frame < 51; frame++) {
            int wanted = frame >= 5 && frame < 25 ? cases[i].wanted : 0;
            assert_int_equal((int16_t)(bytes[44 + 2 * frame] | bytes[45 + 2 * frame] << 8), wanted);
        }
        free(bytes);
    }
}

/* Where the energy of a piece of sound lies, in frames: a lossy file may change its shape. */
static double middle_of(const float *samples, size_t from, size_t to)
{
    double energy = 0;
    double moment = 0;
    for (size_t i = from; i < to; i++) {
        double one = (double)samples[i] * (double)samples[i];
        energy += one;
        moment += one * (double)i;
    }
    return moment / energy;
}

/* Lossy kinds: exact length and rate, and each click within 1 ms of its place. */
static void check_lossy(const char *name, enum passo_file_kind kind, uint32_t rate_hz)
{
    if (!passo_file_can(kind)) {
        print_message("libsndfile here cannot write %s\n", name);
        return;
    }
    char path[256];
    size_t frames = rate_hz * 2 + 123;
    struct passo_file_job job = {
        .path = place_of(path, name), .kind = kind, .frames = (int64_t)frames};
    write_tune(&job, rate_hz, (int64_t)frames);
    assert_false(job.failed);
    SF_INFO info;
    float *wanted = tune_frames(rate_hz, frames);
    float *came = read_back(path, &info);
    assert_int_equal(info.samplerate, rate_hz);
    assert_int_equal(info.channels, 1);
    assert_int_equal(info.frames, frames);
    for (size_t click = 0; click < 4; click++) {
        size_t at = rate_hz / 10 + click * (rate_hz / 3);
        double before = middle_of(wanted, at - rate_hz / 100, at + rate_hz / 25);
        double after = middle_of(came, at - rate_hz / 100, at + rate_hz / 25);
        assert_true(fabs(before - after) < rate_hz / 1000.0);
    }
    free(wanted);
    free(came);
}

static void test_lossy_kinds(void **state)
{
    (void)state;
    assert_true(passo_file_can(PASSO_FILE_OGG));
    check_lossy("a.ogg", PASSO_FILE_OGG, 22050);
    check_lossy("b.ogg", PASSO_FILE_OGG, 48000);
    check_lossy("a.opus", PASSO_FILE_OPUS, 48000);
    check_lossy("b.opus", PASSO_FILE_OPUS, 16000);
    check_lossy("a.mp3", PASSO_FILE_MP3, 44100);
    check_lossy("b.mp3", PASSO_FILE_MP3, 22050);
}

/* Two outputs, one of them the simulated one, walk by the same odd steps: the same notices at the
 * same times. */
static void check_clock(uint32_t rate_hz)
{
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"), .force = true};
    const struct passo_output_ops *const other_ops = &passo_output_simulated;
    const struct passo_output_ask ask = {.rate_hz = rate_hz};
    struct passo_output *output = open_job(&job, rate_hz);
    struct passo_output *other = NULL;
    assert_int_equal(other_ops->open(&ask, &other, fault, sizeof fault), PASSO_OK);
    assert_int_equal(ops->rate_hz(output), rate_hz);
    struct passo_player *player = tune(rate_hz);
    struct passo_player *twin = tune(rate_hz);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    assert_int_equal(other_ops->start(other, twin), PASSO_OK);
    int told = 0;
    for (int64_t now_ns = 0; now_ns < INT64_C(2000000000); now_ns += 123456789) {
        ops->advance(output, now_ns);
        other_ops->advance(other, now_ns);
        assert_int_equal(ops->now_ns(output), now_ns);
        assert_int_equal(passo_player_rendered(player), passo_player_rendered(twin));
        struct passo_notice one;
        struct passo_notice two;
        while (passo_player_notice(player, &one)) {
            assert_true(passo_player_notice(twin, &two));
            assert_int_equal(one.kind, two.kind);
            assert_int_equal(one.frame, two.frame);
            assert_int_equal(one.heard_ns, two.heard_ns);
            told++;
        }
        assert_false(passo_player_notice(twin, &two));
        for (int64_t frame = 0; frame < rate_hz * 2; frame += 997)
            assert_int_equal(passo_player_heard_ns(player, frame),
                             passo_player_heard_ns(twin, frame));
    }
    assert_int_equal(told, 6); /* begun, four beats, ended */
    assert_true(ops->alive(output));
    ops->stop(output);
    ops->stop(output);
    ops->close(output);
    other_ops->close(other);
    passo_player_destroy(player);
    passo_player_destroy(twin);
}

static void test_clock_is_the_simulated_one(void **state)
{
    (void)state;
    check_clock(48000);
    check_clock(44100);
    check_clock(22050);
    check_clock(47999); /* only whole seconds are whole nanoseconds */
    check_clock(8000);
}

/* Commands between advances (a level, a stop, a cue, another timeline) give the samples that a
 * player gives that is rendered in one block between them: silence is never jumped over. */
static void command(struct passo_player *player, int turn, uint32_t rate_hz, int64_t now)
{
    switch (turn % 5) {
    case 0:
        assert_int_equal(passo_player_level(player, turn % 2 ? 0.3F : 0.9F), PASSO_OK);
        break;
    case 1:
        assert_int_equal(passo_player_stop(player, now + 40), PASSO_OK);
        break;
    case 2:
        assert_int_equal(
            passo_player_play(
                player, toned(steady((uint64_t)turn, rate_hz, now + 700, 901, 5), 330.0F, 0.3F)),
            PASSO_OK);
        break;
    case 3:
        assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, now + 333), PASSO_OK);
        break;
    default:
        break;
    }
    struct passo_notice read;
    while (passo_player_notice(player, &read))
        continue;
    passo_player_reclaim(player);
}

static void test_silence_is_stepped_over_without_a_trace(void **state)
{
    (void)state;
    enum { RATE = 11025, STEPS = 60, STEP = 3001 };
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"), .bits = PASSO_FILE_FLOAT};
    struct passo_output *output = open_job(&job, RATE);
    struct passo_player *player = tune(RATE);
    struct passo_player *twin = tune(RATE);
    float *wanted = calloc(STEPS * STEP, sizeof *wanted);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    for (int turn = 0; turn < STEPS; turn++) {
        int64_t now = (int64_t)turn * STEP;
        command(player, turn * 7 / 3, RATE, now);
        command(twin, turn * 7 / 3, RATE, now);
        passo_player_render(twin, wanted + now, STEP, 0);
        ops->advance(output, passo_frames_to_ns(now + STEP - 1, RATE));
    }
    ops->close(output);
    SF_INFO info;
    float *came = read_back(path, &info);
    assert_int_equal(info.frames, STEPS * STEP);
    size_t silent = 0;
    for (size_t i = 0; i < STEPS * STEP; i++)
        silent += wanted[i] == 0.0F;
    assert_in_range(silent, STEPS * STEP / 10, STEPS * STEP * 9 / 10);
    assert_memory_equal(came, wanted, STEPS * STEP * sizeof *wanted);
    free(came);
    free(wanted);
    passo_player_destroy(player);
    passo_player_destroy(twin);
}

/* Longer than was rendered: silence. Shorter: cut. 0: as it is. Nothing at all: an empty file. */
static void test_length_is_exact(void **state)
{
    (void)state;
    static const struct {
        int64_t asked, rendered, wanted;
    } cases[] = {{5000, 3000, 5000},
                 {3000, 5000, 3000},
                 {0, 4321, 4321},
                 {1, 4000, 1},
                 {1300000, 9000, 1300000}}; /* over two pieces */
    float *wanted = tune_frames(8000, 9000);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char path[256];
        struct passo_file_job job = {.path = place_of(path, "a.wav"),
                                     .bits = PASSO_FILE_FLOAT,
                                     .frames = cases[i].asked,
                                     .force = true};
        write_tune(&job, 8000, cases[i].rendered);
        SF_INFO info;
        float *came = read_back(path, &info);
        assert_int_equal(info.frames, cases[i].wanted);
        assert_int_equal(job.written, cases[i].wanted);
        for (int64_t k = 0; k < cases[i].wanted; k++)
            assert_true(came[k] == (k < cases[i].rendered ? wanted[k] : 0.0F));
        free(came);
    }
    free(wanted);
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "b.wav")};
    ops->close(open_job(&job, 8000));
    SF_INFO info;
    free(read_back(path, &info));
    assert_int_equal(info.frames, 0);
    ops->close(NULL);
}

/* But where it is to ring, what was handed over sounds up to the file's end, and no further. */
static void test_what_rings_is_heard_to_the_end(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"),
                                 .bits = PASSO_FILE_FLOAT,
                                 .frames = 9000,
                                 .rings = true,
                                 .force = true};
    float *wanted = tune_frames(8000, 9000);
    static const int64_t rendered[] = {3000, 8999, 9000, 12000};
    for (size_t i = 0; i < sizeof rendered / sizeof *rendered; i++) {
        write_tune(&job, 8000, rendered[i]);
        SF_INFO info;
        float *came = read_back(path, &info);
        assert_int_equal(info.frames, 9000);
        assert_memory_equal(came, wanted, 9000 * sizeof *wanted);
        free(came);
    }
    free(wanted);
}

/* What passes while no player is there is silent, and the player goes on after it. */
static void test_gap_is_silence(void **state)
{
    (void)state;
    char path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"), .bits = PASSO_FILE_FLOAT};
    struct passo_output *output = open_job(&job, 8000);
    struct passo_player *player = plain_player(8000, 5, 16);
    assert_int_equal(passo_player_play(player, steady(1, 8000, 0, 100, 2)), PASSO_OK);
    assert_int_equal(ops->start(output, player), PASSO_OK);
    ops->advance(output, passo_frames_to_ns(49, 8000));
    ops->stop(output);
    ops->advance(output, passo_frames_to_ns(149, 8000));
    ops->advance(output, 5); /* backwards: nothing */
    assert_int_equal(ops->start(output, player), PASSO_OK);
    ops->advance(output, passo_frames_to_ns(299, 8000));
    ops->close(output);
    passo_player_destroy(player);
    SF_INFO info;
    float *came = read_back(path, &info);
    assert_int_equal(info.frames, 300);
    for (int i = 0; i < 300; i++) {
        float wanted = i < 5                 ? plain_click(PASSO_CLICK_BAR)
                       : i >= 200 && i < 205 ? plain_click(PASSO_CLICK_BEAT)
                                             : 0.0F;
        assert_true(came[i] == wanted);
    }
    free(came);
}

/* Clicks and cues in one channel or file, tones in the other; their sum is the mix. */
static void check_apart(const float *clicks, size_t step_of_clicks, const float *tones,
                        size_t step_of_tones)
{
    enum { RATE = 8000, FRAMES = 2 * RATE };
    float *mix = tune_frames(RATE, FRAMES);
    double energy[2] = {0, 0};
    for (size_t i = 0; i < FRAMES; i++) {
        double click = (double)clicks[i * step_of_clicks];
        double tone = (double)tones[i * step_of_tones];
        assert_true(fabs(click + tone - (double)mix[i]) < 1e-6);
        if (i > RATE * 8 / 5) /* the cue alone */
            assert_true(tone == 0);
        energy[0] += click * click;
        energy[1] += tone * tone;
    }
    assert_true(energy[0] > 1 && energy[1] > 1);
    free(mix);
}

static void test_stems_and_sides(void **state)
{
    (void)state;
    char path[256];
    char pitch_path[256];
    struct passo_file_job job = {.path = place_of(path, "a.wav"),
                                 .pitch_path = place_of(pitch_path, "b.wav"),
                                 .bits = PASSO_FILE_FLOAT,
                                 .frames = 16000};
    write_tune(&job, 8000, 16000);
    SF_INFO info;
    float *clicks = read_back(path, &info);
    assert_true(info.frames == 16000 && info.channels == 1);
    float *tones = read_back(pitch_path, &info);
    assert_true(info.frames == 16000 && info.channels == 1);
    check_apart(clicks, 1, tones, 1);
    free(clicks);
    free(tones);
    struct passo_file_job both = {.path = place_of(path, "c.flac"),
                                  .kind = PASSO_FILE_WAV,
                                  .bits = PASSO_FILE_FLOAT,
                                  .sides = true,
                                  .frames = 16000};
    write_tune(&both, 8000, 16000);
    float *sides = read_back(path, &info);
    assert_true(info.frames == 16000 && info.channels == 2);
    check_apart(sides, 2, sides + 1, 2);
    free(sides);
}

static void test_same_work_same_bytes(void **state)
{
    (void)state;
    static const struct {
        enum passo_file_kind kind;
        enum passo_file_bits bits;
    } cases[] = {{PASSO_FILE_WAV, PASSO_FILE_16},
                 {PASSO_FILE_WAV, PASSO_FILE_24},
                 {PASSO_FILE_WAV, PASSO_FILE_FLOAT},
                 {PASSO_FILE_FLAC, PASSO_FILE_16},
                 {PASSO_FILE_MP3, PASSO_FILE_16}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        if (!passo_file_can(cases[i].kind))
            continue;
        unsigned char *bytes[2];
        size_t count[2];
        for (size_t turn = 0; turn < 2; turn++) {
            char path[256];
            struct passo_file_job job = {.path = place_of(path, "a.wav"),
                                         .kind = cases[i].kind,
                                         .bits = cases[i].bits,
                                         .title = "Slow march",
                                         .force = true};
            write_tune(&job, 8000, 9000);
            bytes[turn] = bytes_of_file(path, &count[turn]);
        }
        assert_int_equal(count[0], count[1]);
        assert_memory_equal(bytes[0], bytes[1], count[0]);
        assert_null(memmem(bytes[0], count[0], "PEAK", 4)); /* which has the time in it */
        free(bytes[0]);
        free(bytes[1]);
    }
}

static void check_tags(const char *name, enum passo_file_kind kind)
{
    if (!passo_file_can(kind))
        return;
    static const struct {
        int what;
        const char *text;
    } wanted[] = {{SF_STR_TITLE, "Bb march, bars 33–36"},
                  {SF_STR_ARTIST, "Zuzana Ólafsdóttir's band"},
                  {SF_STR_ALBUM, "Marrowby"},
                  {SF_STR_COMMENT, "quarter = 80 to 96"}};
    char path[256];
    struct passo_file_job job = {.path = place_of(path, name),
                                 .kind = kind,
                                 .title = wanted[0].text,
                                 .artist = wanted[1].text,
                                 .album = wanted[2].text,
                                 .comment = wanted[3].text};
    write_tune(&job, 16000, 8000);
    SF_INFO info = {0};
    SNDFILE *file = sf_open(path, SFM_READ, &info);
    assert_non_null(file);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        const char *came = sf_get_string(file, wanted[i].what);
        assert_non_null(came);
        assert_string_equal(came, wanted[i].text);
    }
    sf_close(file);
}

static void test_tags(void **state)
{
    (void)state;
    check_tags("a.wav", PASSO_FILE_WAV);
    check_tags("a.flac", PASSO_FILE_FLAC);
    check_tags("a.ogg", PASSO_FILE_OGG);
    check_tags("a.opus", PASSO_FILE_OPUS);
    check_tags("a.mp3", PASSO_FILE_MP3);
}

static void test_kinds(void **state)
{
    (void)state;
    enum passo_file_kind kind = PASSO_FILE_KIND_COUNT;
    assert_true(passo_file_kind_of("x/y.FLAC", &kind));
    assert_int_equal(kind, PASSO_FILE_FLAC);
    assert_true(passo_file_kind_of("a.b.wav", &kind));
    assert_int_equal(kind, PASSO_FILE_WAV);
    assert_true(passo_file_kind_of("a.Ogg", &kind));
    assert_int_equal(kind, PASSO_FILE_OGG);
    assert_true(passo_file_kind_of(".opus", &kind));
    assert_int_equal(kind, PASSO_FILE_OPUS);
    assert_true(passo_file_kind_of("a.mp3", &kind));
    assert_int_equal(kind, PASSO_FILE_MP3);
    static const char *const others[] = {"", "wav", "a.wave", "a.wav/b", "a.wa", "a.", "x.aiff"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        assert_false(passo_file_kind_of(others[i], &kind));
    assert_int_equal(kind, PASSO_FILE_MP3);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_OPUS, 44100), 48000);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_OPUS, 96000), 48000);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_OPUS, 10000), 12000); /* of two the better */
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_MP3, 44100), 44100);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_MP3, 96000), 48000);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_OGG, 384000), 192000);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_OGG, 4000), 8000);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_WAV, 44100), 44100);
    assert_int_equal(passo_file_rate_hz(PASSO_FILE_FLAC, 96000), 96000);
    assert_true(passo_file_can(PASSO_FILE_WAV) && passo_file_can(PASSO_FILE_FLAC));
}

/* The ends of the rates that each kind is said to have: libsndfile takes them. */
static void test_every_rate_opens(void **state)
{
    (void)state;
    static const uint32_t rates[] = {8000,  11025, 12000, 16000, 22050, 24000,
                                     32000, 44100, 48000, 88200, 96000, 192000};
    for (int kind = 0; kind < PASSO_FILE_KIND_COUNT; kind++) {
        for (size_t i = 0; i < sizeof rates / sizeof *rates; i++) {
            enum passo_file_kind of = (enum passo_file_kind)kind;
            char path[256];
            struct passo_file_job job = {.path = place_of(path, "a.out"), .kind = of};
            job.discard = true;
            if (passo_file_can(of) && passo_file_rate_hz(of, rates[i]) == rates[i])
                ops->close(open_job(&job, rates[i]));
        }
    }
    char path[256];
    struct passo_output *output = NULL;
    struct passo_file_job job = {.path = place_of(path, "a.opus"), .kind = PASSO_FILE_OPUS};
    assert_int_equal(try_open(&job, 44100, &output), PASSO_ERR_RANGE);
    assert_non_null(strstr(fault, "a.opus"));
    assert_false(is_there(path));
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, remove_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(test_samples_are_the_players),
        IN_FOLDER(test_wav_header),
        IN_FOLDER(test_rounding),
        IN_FOLDER(test_lossy_kinds),
        IN_FOLDER(test_clock_is_the_simulated_one),
        IN_FOLDER(test_silence_is_stepped_over_without_a_trace),
        IN_FOLDER(test_length_is_exact),
        IN_FOLDER(test_what_rings_is_heard_to_the_end),
        IN_FOLDER(test_gap_is_silence),
        IN_FOLDER(test_stems_and_sides),
        IN_FOLDER(test_same_work_same_bytes),
        IN_FOLDER(test_tags),
        IN_FOLDER(test_kinds),
        IN_FOLDER(test_every_rate_opens),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
