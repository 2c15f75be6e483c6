/* The output into a sound file. Frame f of the file is the frame that is heard at the time of f
 * frames exactly, as on the simulated output, and every notice carries the time that the simulated
 * output gives it: a dry run there and the run into the file go the same way to the frame. For that
 * the player is only asked for stretches that last whole nanoseconds (`grain`).
 *
 * Where nothing sounds nothing is synthesized: the player steps over the stretch, and silence is
 * written. The files themselves are sink.c. */
#include "output/sink.h"

#include "sound/frames.h"

#include <stdio.h>
#include <stdlib.h>

#define DEFAULT_RATE_HZ 48000
#define BLOCK_FRAMES    512 /* about: a click's tail costs no more than one such block */
#define NS_PER_S        UINT64_C(1000000000)
#define SINKS_MAX       2

struct file {
    struct passo_output output;
    struct passo_file_job *job;
    struct passo_player *player; /* NULL: stopped */
    uint32_t rate_hz;
    int64_t now_ns;
    int64_t rendered; /* frames since time 0, also those that passed while stopped */
    int64_t taken;    /* frames that the sinks were given */
    bool ended;       /* no more is written: a fault, or it is not wanted */
    size_t grain;     /* so many frames last a whole number of nanoseconds */
    size_t block;     /* frames, a multiple of the grain; both buffers are as long */
    float *clicks;    /* with the tones, where they are not kept apart */
    float *tones;
    size_t sinks;
    struct sink *sink[SINKS_MAX]; /* of the path, and of the pitch path */
};

/* --- what goes into the files --- */

static void fault(struct file *file, const char *why)
{
    file->ended = true;
    if (file->job->failed)
        return;
    file->job->failed = true;
    snprintf(file->job->why, sizeof file->job->why, "%s", why);
}

/* Looks for faults, and tells of the pieces that were written; `before` in all until now. */
static void after_writing(struct file *file, int64_t before)
{
    for (size_t i = 0; i < file->sinks; i++) {
        const char *why = passo_sink_fault(file->sink[i]);
        if (why)
            fault(file, why);
    }
    int64_t written = passo_sink_written(file->sink[0]);
    if (file->ended || written == before)
        return;
    file->job->written = written;
    if (file->job->wrote && !file->job->wrote(file->job->user, written)) {
        file->job->discard = true;
        file->ended = true;
    }
}

/* Gives the sinks the block's frames, or silence; no more than the file is to have. */
static void take(struct file *file, bool silence, size_t frames)
{
    int64_t left = file->job->frames ? file->job->frames - file->taken : INT64_MAX;
    size_t count = (int64_t)frames < left ? frames : (size_t)left;
    if (file->ended || count == 0)
        return;
    int64_t before = passo_sink_written(file->sink[0]);
    const float *clicks = silence ? NULL : file->clicks;
    const float *tones = silence ? NULL : file->tones;
    passo_sink_put(file->sink[0], clicks, tones, count);
    if (file->sinks > 1)
        passo_sink_put(file->sink[1], tones, NULL, count);
    file->taken += (int64_t)count;
    after_writing(file, before);
}

/* However long, it is taken in pieces, so that each can be told of. */
static void take_silence(struct file *file, int64_t frames)
{
    while (frames > 0 && !file->ended) {
        size_t part = frames < (int64_t)SINK_PIECE_FRAMES ? (size_t)frames : SINK_PIECE_FRAMES;
        take(file, true, part);
        frames -= (int64_t)part;
    }
}

/* --- opening and closing --- */

static uint64_t common_divisor(uint64_t a, uint64_t b)
{
    while (b) {
        uint64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static void make_buffers(struct file *file)
{
    file->grain = file->rate_hz / (size_t)common_divisor(file->rate_hz, NS_PER_S);
    size_t grains = file->grain < BLOCK_FRAMES ? BLOCK_FRAMES / file->grain : 1;
    file->block = grains * file->grain;
    file->clicks = passo_xcalloc(file->block, sizeof *file->clicks);
    file->tones = passo_xcalloc(file->block, sizeof *file->tones);
}

/* Closes the sinks; those that have no name are gone with it. */
static void free_file(struct file *file)
{
    for (size_t i = 0; i < file->sinks; i++)
        passo_sink_close(file->sink[i]);
    free(file->clicks);
    free(file->tones);
    free(file);
}

static enum passo_error file_open(const struct passo_output_ask *ask,
                                  struct passo_output **out_output, char *out_fault,
                                  size_t fault_bytes)
{
    struct passo_file_job *job = ask->file;
    PASSO_BUG_ON(!job || !job->path || (job->sides && job->pitch_path));
    if (fault_bytes)
        out_fault[0] = '\0';
    struct file *file = passo_xcalloc(1, sizeof *file);
    file->output.ops = &passo_output_file;
    file->job = job;
    file->rate_hz = ask->rate_hz ? ask->rate_hz : passo_file_rate_hz(job->kind, DEFAULT_RATE_HZ);
    make_buffers(file);
    const char *const paths[SINKS_MAX] = {job->path, job->pitch_path};
    for (size_t i = 0; i < SINKS_MAX && paths[i]; i++) {
        enum passo_error error = passo_sink_open(job, paths[i], file->rate_hz, job->sides ? 2 : 1,
                                                 &file->sink[i], out_fault, fault_bytes);
        if (error) {
            free_file(file);
            return error;
        }
        file->sinks++;
    }
    *out_output = &file->output;
    return PASSO_OK;
}

/* All files are whole before the first gets its name; if one cannot get it, none has it. Behind the
 * last nothing can fail. */
static void keep(struct file *file)
{
    for (size_t i = 0; i < file->sinks && !file->ended; i++) {
        if (!passo_sink_finish(file->sink[i]))
            fault(file, passo_sink_fault(file->sink[i]));
    }
    for (size_t i = 0; i < file->sinks && !file->ended; i++) {
        if (!passo_sink_name(file->sink[i], i + 1 < file->sinks))
            fault(file, passo_sink_fault(file->sink[i]));
    }
    for (size_t i = 0; i < file->sinks && file->ended; i++)
        passo_sink_drop(file->sink[i]);
    if (!file->ended)
        file->job->written = file->taken;
}

static void file_stop(struct passo_output *output)
{
    ((struct file *)output)->player = NULL;
}

/* --- the clock --- */

/* The frames before now have passed unheard: they are silence. */
static enum passo_error file_start(struct passo_output *output, struct passo_player *player)
{
    struct file *file = (struct file *)output;
    PASSO_BUG_ON(file->player || passo_player_rate_hz(player) != file->rate_hz);
    file->player = player;
    if (file->now_ns > 0) {
        int64_t passed = passo_ns_to_frames(file->now_ns, file->rate_hz) + 1;
        take_silence(file, passed - file->rendered);
        file->rendered = passed;
    }
    return PASSO_OK;
}

static uint32_t file_rate_hz(const struct passo_output *output)
{
    return ((const struct file *)output)->rate_hz;
}

static int64_t file_now_ns(const struct passo_output *output)
{
    return ((const struct file *)output)->now_ns;
}

/* A file that cannot be written any more is told by its job; time goes on. */
static bool file_alive(struct passo_output *output)
{
    (void)output;
    return true;
}

static bool full(const struct file *file)
{
    return file->ended || (file->job->frames && file->taken >= file->job->frames);
}

/* Renders at most `left` frames, the first of which is heard at heard_ns; returns how many. Ends on
 * a whole grain unless they are the last. */
static int64_t render_part(struct file *file, int64_t left, int64_t heard_ns)
{
    int64_t silent = full(file) ? left : 0;
    if (!silent && !passo_player_sounds(file->player))
        silent = passo_player_next_due(file->player) - passo_player_rendered(file->player);
    if (silent < left)
        silent -= silent % (int64_t)file->grain;
    if (silent > 0) {
        int64_t part = silent < left ? silent : left;
        passo_player_render(file->player, NULL, (size_t)part, heard_ns);
        take_silence(file, part);
        return part;
    }
    size_t part = left < (int64_t)file->block ? (size_t)left : file->block;
    if (file->job->sides || file->job->pitch_path)
        passo_player_render_apart(file->player, file->clicks, file->tones, part, heard_ns);
    else
        passo_player_render(file->player, file->clicks, part, heard_ns);
    take(file, false, part);
    return (int64_t)part;
}

static void file_advance(struct passo_output *output, int64_t until_ns)
{
    struct file *file = (struct file *)output;
    if (until_ns < file->now_ns)
        return;
    file->now_ns = until_ns;
    int64_t end = passo_ns_to_frames(until_ns, file->rate_hz) + 1;
    if (!file->player)
        return;
    int64_t first = file->rendered;
    int64_t first_ns = passo_frames_to_ns(first, file->rate_hz);
    while (file->rendered < end) {
        int64_t since_ns = passo_frames_to_ns(file->rendered - first, file->rate_hz);
        file->rendered += render_part(file, end - file->rendered, first_ns + since_ns);
    }
}

/* Its owner has no more to say, but what was said may still sound. */
static void ring_on(struct file *file)
{
    const struct passo_file_job *job = file->job;
    if (job->rings && file->player && !job->discard && !full(file) && job->frames > 0)
        file_advance(&file->output, passo_frames_to_ns(job->frames - 1, file->rate_hz));
}

static void file_close(struct passo_output *output)
{
    if (!output)
        return;
    struct file *file = (struct file *)output;
    ring_on(file);
    file_stop(output);
    if (!file->job->discard)
        take_silence(file, file->job->frames - file->taken);
    if (!file->job->discard && !file->ended)
        keep(file);
    free_file(file);
}

const struct passo_output_ops passo_output_file = {
    .name = "file",
    .open = file_open,
    .start = file_start,
    .stop = file_stop,
    .close = file_close,
    .rate_hz = file_rate_hz,
    .now_ns = file_now_ns,
    .alive = file_alive,
    .advance = file_advance,
};
