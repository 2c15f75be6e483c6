/* Twice through: first dry, on a clock that jumps, to know how long it is, what it is to be called
 * and when what comes; then the same into the file. Both see the same, as nothing in it depends on
 * the day's time. Runs on the main thread. */
#include "command/render_parts.h"

#include <inttypes.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "command/today_parts.h"
#include "session/signals.h"
#include "store/beside.h"
#include "text/notation.h"
#include "view/views.h"

#define DRONE_ALONE 0.35F /* as under a block of long notes */

enum {
    RING_MS = 100, /* for a tone that ends with the landing to die away in */
    USUAL_MS = 5 * 60000,
    MOST_MS = 24 * 3600000
};

/* --- the view of a file: nobody looks, and nobody presses a key --- */

struct watcher {
    struct passo_view view;
    struct passo_file_job *job;
    struct passo_progress *progress;
};

static void draw_nothing(struct passo_view *view, const struct passo_snapshot *snapshot)
{
    (void)view;
    (void)snapshot;
}

static void say_nothing(struct passo_view *view, enum passo_say kind, const char *line)
{
    (void)view;
    (void)kind;
    (void)line;
}

/* A signal that the conductor is about to obey: the half file is not wanted. */
static bool look_for_signals(struct passo_view *view, int64_t now_ns, struct passo_press *out_press)
{
    struct watcher *watcher = (struct watcher *)view;
    (void)now_ns;
    (void)out_press;
    passo_signals_wait(-1, 0);
    watcher->job->discard |= passo_signals_ending() != 0;
    return false;
}

static void wait_for_nothing(struct passo_view *view, int64_t timeout_ns)
{
    (void)view;
    (void)timeout_ns;
}

static void close_nothing(struct passo_view *view)
{
    (void)view;
}

static const struct passo_view_ops watcher_ops = {.name = "file",
                                                  .draw = draw_nothing,
                                                  .say = say_nothing,
                                                  .press = look_for_signals,
                                                  .wait = wait_for_nothing,
                                                  .close = close_nothing};

static bool wrote(void *user, int64_t frames)
{
    struct watcher *watcher = user;
    passo_signals_wait(-1, 0);
    watcher->job->discard |= passo_signals_ending() != 0;
    if (watcher->job->frames > 0)
        passo_progress_show(watcher->progress, frames, watcher->job->frames);
    return !watcher->job->discard;
}

/* --- playing it --- */

static int64_t limit_ms(const struct render *render)
{
    return render->options->limit_ms ? render->options->limit_ms : USUAL_MS;
}

static enum passo_error play(struct render *render, char *out_fault, size_t fault_bytes)
{
    struct passo_climb_result result;
    struct passo_marker marker = {.script = render->marks};
    struct passo_climb_setup run = render->run;
    run.setup = render->setup;
    run.unrecorded = true;
    run.track = true;
    run.wall_ns = 1 + (int64_t)(render->options->seed >> 1); /* of drawn silent bars */
    run.player = "";
    switch (render->what) {
    case RENDER_TRACK:
        run.marker = &marker;
        return passo_climb_run(&run, &result, out_fault, fault_bytes);
    case RENDER_ROUTINE:
        return render_routine_play(render, &run, out_fault, fault_bytes);
    case RENDER_DRONE:
        run.no_clicks = true;
        run.drone_level = DRONE_ALONE;
        break;
    case RENDER_PULSE:
        break;
    }
    return passo_pulse_run(&run, limit_ms(render), out_fault, fault_bytes);
}

static enum passo_exit exit_of(enum passo_error error)
{
    return error == PASSO_ERR_DEVICE || error == PASSO_ERR_FILE ? PASSO_EXIT_MACHINE
                                                                : PASSO_EXIT_USAGE;
}

static enum passo_exit ended_by_signal(void)
{
    return (enum passo_exit)(PASSO_EXIT_SIGNAL + passo_signals_ending());
}

/* The frames of the file; a pulse is as long as was asked. */
static enum passo_exit play_dry(struct render *render, struct watcher *watcher)
{
    char fault[512];
    const struct passo_witness witness = {.user = &render->sheet, .handed = render_sheet_take};
    const bool steady = render->what == RENDER_PULSE || render->what == RENDER_DRONE;
    struct render_sheet *sheet = &render->sheet;
    sheet->rate_hz = render->rate_hz;
    sheet->unlisted = render->options->cues == NULL;
    render->frames = passo_instant_from_ms(limit_ms(render), render->rate_hz).frame;
    if (steady)
        return PASSO_EXIT_DONE;
    render->run.view = &watcher->view;
    render->run.output = &passo_output_simulated;
    render->run.ask = (struct passo_output_ask){.rate_hz = render->rate_hz};
    render->run.witness = &witness;
    const enum passo_error error = play(render, fault, sizeof fault);
    render->run.witness = NULL;
    if (error != PASSO_OK) {
        passo_tell(fault);
        return exit_of(error);
    }
    if (render->job.discard)
        return ended_by_signal();
    render->frames = sheet->end_frame;
    if (sheet->rings)
        render->frames += passo_instant_from_ms(RING_MS, render->rate_hz).frame;
    if (sheet->passes > 0 && render->frames <= MOST_MS / 1000 * (int64_t)render->rate_hz)
        return PASSO_EXIT_DONE;
    passo_tell(sheet->passes ? "that would be longer than a day; --only one turn of it would do"
                             : "there is nothing in it that could be played");
    return PASSO_EXIT_USAGE;
}

/* --- what it is called --- */

static void name_tempi(struct render *render)
{
    const struct render_sheet *sheet = &render->sheet;
    char tempo[PASSO_NAME_MAX + 24];
    char high[16] = "";
    const int32_t low_mbpm =
        render->what == RENDER_TRACK ? sheet->low_mbpm : render->setup->rule.target_mbpm;
    if (render->what == RENDER_ROUTINE || render->what == RENDER_DRONE)
        return;
    passo_tempo_write(low_mbpm, render->setup->passage.beat, tempo, sizeof tempo);
    const bool climbs = render->what == RENDER_TRACK && sheet->high_mbpm > low_mbpm;
    snprintf(render->tempi, sizeof render->tempi, "%s%s%s", tempo, climbs ? " to " : "",
             climbs ? passo_bpm_write(sheet->high_mbpm, high, sizeof high) : "");
}

static void name_title(struct render *render)
{
    char title[PASSO_TEXT_MAX] = "";
    char note[PASSO_NAME_MAX];
    const struct passo_intonation *intonation = &render->setup->intonation;
    switch (render->what) {
    case RENDER_TRACK:
        passo_text_clean(render->setup->passage.title, title, sizeof title);
        break;
    case RENDER_ROUTINE:
        passo_text_clean(render->today->file.title, title, sizeof title);
        break;
    case RENDER_PULSE:
        snprintf(title, sizeof title, "Pulse");
        break;
    case RENDER_DRONE:
        if (intonation->drone == PASSO_DRONE_NOTE)
            passo_pitch_write(intonation->note, note, sizeof note);
        else
            passo_key_write(intonation->key, note, sizeof note);
        snprintf(title, sizeof title, "Drone, %s", note);
        break;
    }
    snprintf(render->title, sizeof render->title, "%s", title[0] ? title : "Practice track");
}

static void fill_job(struct render *render, struct watcher *watcher)
{
    const uint32_t passes = render->options->passes ? render->options->passes : 2;
    struct passo_file_job *job = &render->job;
    snprintf(render->comment, sizeof render->comment, "%s", render->tempi);
    if (render->what == RENDER_TRACK)
        snprintf(render->comment, sizeof render->comment, "%s, %u pass%s each", render->tempi,
                 passes, passes == 1 ? "" : "es");
    job->path = render->path;
    job->pitch_path = render->pitch_path[0] ? render->pitch_path : NULL;
    job->frames = render->frames;
    job->rings = render->sheet.rings;
    job->title = render->title;
    job->artist = "passo";
    job->album = render->what == RENDER_TRACK ? render->setup->passage.piece : "";
    job->comment = render->comment;
    job->wrote = wrote;
    job->user = watcher;
    render->run.view = &watcher->view;
    render->run.output = &passo_output_file;
    render->run.ask = (struct passo_output_ask){.rate_hz = render->rate_hz, .file = job};
}

/* --- into the file --- */

static enum passo_exit play_into_file(struct render *render, struct watcher *watcher)
{
    char fault[PASSO_FILE_PATH_BYTES + 320];
    struct passo_file_job *job = &render->job;
    watcher->progress = passo_progress_open(stderr);
    const enum passo_error error = play(render, fault, sizeof fault);
    passo_progress_close(watcher->progress);
    watcher->progress = NULL;
    if (error != PASSO_OK) {
        passo_tell(fault);
        return exit_of(error);
    }
    if (job->failed) {
        snprintf(fault, sizeof fault, "%s: %s; nothing is left of it", job->path, job->why);
        passo_tell(fault);
        return PASSO_EXIT_MACHINE;
    }
    return job->discard ? ended_by_signal() : PASSO_EXIT_DONE;
}

static enum passo_exit write_cues(const struct render *render)
{
    char fault[PASSO_PATH_BYTES + 256];
    struct passo_beside place;
    const char *path = render->options->cues;
    if (!path)
        return PASSO_EXIT_DONE;
    const char *dot = strrchr(path, '.');
    const bool csv = dot && strcasecmp(dot, ".csv") == 0;
    enum passo_error error =
        passo_beside_open(&place, path, render->options->force, fault, sizeof fault);
    if (error != PASSO_OK) {
        passo_tell(fault);
        return error == PASSO_ERR_EXISTS ? PASSO_EXIT_USAGE : PASSO_EXIT_MACHINE;
    }
    const int fd = dup(place.file);
    FILE *to = fd >= 0 ? fdopen(fd, "w") : NULL;
    bool kept = to && render_sheet_write(&render->sheet, csv, to);
    kept &= to && fclose(to) == 0;
    if (!kept) {
        passo_beside_drop(&place);
        snprintf(fault, sizeof fault, "%s: the list could not be written; is the disk full?", path);
    }
    if (kept && passo_beside_keep(&place, fault, sizeof fault) == PASSO_OK)
        return PASSO_EXIT_DONE;
    passo_tell(fault);
    return PASSO_EXIT_MACHINE;
}

/* A list of what is not there is of no use. */
static void drop_cues(const struct render *render)
{
    struct stat status;
    const char *path = render->options->cues;
    if (path && lstat(path, &status) == 0 && S_ISREG(status.st_mode))
        unlink(path);
}

/* "march.wav: 4:27, 6 passes, quarter = 80 to 96." */
static void tell_done(const struct render *render)
{
    char shown[PASSO_FILE_PATH_BYTES];
    const bool cues_there = render->options->cues && strcmp(render->options->cues, "-") == 0;
    FILE *to = cues_there ? stderr : stdout;
    const int64_t s = (render->frames + render->rate_hz / 2) / render->rate_hz;
    fprintf(to, "%s", passo_text_clean(render->path, shown, sizeof shown));
    if (render->pitch_path[0])
        fprintf(to, " and %s", passo_text_clean(render->pitch_path, shown, sizeof shown));
    fprintf(to, ": %" PRId64 ":%02d", s / 60, (int)(s % 60));
    if (render->sheet.passes)
        fprintf(to, ", %" PRIu32 " pass%s", render->sheet.passes,
                render->sheet.passes == 1 ? "" : "es");
    fprintf(to, "%s%s.\n", *render->tempi ? ", " : "", render->tempi);
}

enum passo_exit render_write(struct render *render)
{
    struct watcher watcher = {.view = {.ops = &watcher_ops}, .job = &render->job};
    /* Under nohup a terminal that goes away is no reason to stop. */
    struct sigaction hang_up;
    sigaction(SIGHUP, NULL, &hang_up);
    passo_signals_init();
    if (hang_up.sa_handler == SIG_IGN)
        signal(SIGHUP, SIG_IGN);
    enum passo_exit ended = play_dry(render, &watcher);
    if (ended != PASSO_EXIT_DONE)
        return ended;
    name_tempi(render);
    name_title(render);
    if (!render_paths(render))
        return PASSO_EXIT_USAGE;
    fill_job(render, &watcher);
    /* The list is known by now, and a place where it cannot be is told before the long work. */
    ended = write_cues(render);
    if (ended != PASSO_EXIT_DONE)
        return ended;
    ended = play_into_file(render, &watcher);
    if (ended == PASSO_EXIT_DONE)
        tell_done(render);
    else
        drop_cues(render);
    return ended;
}
