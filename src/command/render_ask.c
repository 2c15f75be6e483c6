/* What kind of file it is to be, where it goes, and what it is called. Runs on the main thread. */
#include "command/render_parts.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include "store/beside.h"
#include "text/notation.h"

#define ENDINGS ".wav, .flac, .ogg, .opus or .mp3 would do"

enum { USUAL_RATE_HZ = 48000, NAME_MOST = 200 };

static bool is_folder(const char *path)
{
    struct stat entry;
    const size_t length = strlen(path);
    return (length && path[length - 1] == '/') ||
           (stat(path, &entry) == 0 && S_ISDIR(entry.st_mode));
}

static void ask_kind(struct render *render)
{
    struct passo_faults *faults = &render->options->faults;
    struct passo_file_job *job = &render->job;
    char shown[128];
    passo_text_clean(render->out, shown, sizeof shown);
    job->kind = PASSO_FILE_WAV;
    if (is_folder(render->out))
        return;
    if (!passo_file_kind_of(render->out, &job->kind))
        passo_fault(faults,
                    "%s: the ending of the file to write says what kind it is to be; " ENDINGS,
                    shown);
    else if (!passo_file_can(job->kind))
        passo_fault(faults,
                    "%s: the libsndfile of this system cannot write that kind; another of " ENDINGS,
                    shown);
}

static void ask_bits(struct render *render)
{
    static const char *const words[PASSO_FILE_BITS_COUNT] = {
        [PASSO_FILE_16] = "16", [PASSO_FILE_24] = "24", [PASSO_FILE_FLOAT] = "float"};
    struct passo_faults *faults = &render->options->faults;
    struct passo_file_job *job = &render->job;
    const char *said = render->options->bits;
    char shown[64];
    size_t bits = PASSO_FILE_16;
    if (!said)
        return;
    while (bits < PASSO_FILE_BITS_COUNT && strcasecmp(said, words[bits]) != 0)
        bits++;
    if (bits == PASSO_FILE_BITS_COUNT)
        passo_fault(faults, "--bits %s: 16, 24 or float would do",
                    passo_text_clean(said, shown, sizeof shown));
    else if (job->kind != PASSO_FILE_WAV && job->kind != PASSO_FILE_FLAC)
        passo_fault(faults,
                    "--bits goes with .wav and .flac; the others have no bits of their own");
    else if (bits == PASSO_FILE_FLOAT && job->kind == PASSO_FILE_FLAC)
        passo_fault(faults, "--bits float: FLAC has 16 or 24 bits; .wav has float too");
    else
        job->bits = (enum passo_file_bits)bits;
}

static void ask_rate(struct render *render)
{
    const uint32_t wished_hz = render->options->rate_hz ? render->options->rate_hz : USUAL_RATE_HZ;
    render->rate_hz = passo_file_rate_hz(render->job.kind, wished_hz);
    if (render->rate_hz != wished_hz && !render->options->faults.faults)
        fprintf(stderr, "passo: this kind of file does not have %u Hz; %u it is\n", wished_hz,
                render->rate_hz);
}

static void ask_cues(struct render *render)
{
    const struct passo_options *options = render->options;
    struct stat entry;
    char shown[128];
    if (!options->cues)
        return;
    passo_text_clean(options->cues, shown, sizeof shown);
    if (render->what == RENDER_PULSE || render->what == RENDER_DRONE)
        passo_fault(&render->options->faults, "--cues: a pulse and a drone have no cues to list");
    else if (!*options->cues)
        passo_fault(&render->options->faults, "--cues needs the name of a file, or -");
    else if (stat(options->cues, &entry) != 0 && lstat(options->cues, &entry) == 0)
        passo_fault(&render->options->faults, "--cues %s: is a link to what is not there", shown);
    /* Told before the work, not behind it. */
    else if (!options->force && strcmp(options->cues, "-") != 0 &&
             stat(options->cues, &entry) == 0 && S_ISREG(entry.st_mode))
        passo_fault(&render->options->faults, "%s is there already; --force writes over it", shown);
}

void render_ask(struct render *render)
{
    ask_kind(render);
    ask_bits(render);
    ask_rate(render);
    ask_cues(render);
    if (render->options->stems && render->options->sides)
        passo_fault(&render->options->faults,
                    "--stems and --sides exclude each other: two files, or two sides of one");
    render->job.sides = render->options->sides;
    render->job.force = render->options->force;
}

/* --- its name --- */

/* No signs of paths and shells, and none that a phone's or a stick's file system refuses. */
static bool is_harmless(char c)
{
    return (unsigned char)c >= ' ' && c != 0x7f && !strchr("/\\:*?\"<>|'`$", c);
}

const char *render_name(const char *title, const char *tempi, char *out, size_t bytes)
{
    char whole[2 * NAME_MOST];
    char clean[NAME_MOST];
    size_t length = 0;
    snprintf(whole, sizeof whole, "%s%s%s", title, *title && *tempi ? ", " : "", tempi);
    passo_text_clean(whole, clean, bytes < sizeof clean ? bytes : sizeof clean);
    for (const char *at = clean; *at; at++) {
        /* "quarter = 80" is "quarter 80". */
        if (strncmp(at, "= ", 2) == 0)
            at += 2;
        if (length == 0 && (strchr(" .-", *at) || !is_harmless(*at)))
            continue;
        out[length++] = is_harmless(*at) ? *at : '-';
    }
    while (length && strchr(" .", out[length - 1]))
        length--;
    out[length] = '\0';
    if (length == 0)
        snprintf(out, bytes, "practice track");
    return out;
}

/* "march.wav" and "-pulse": "march-pulse.wav". */
static void stem(const char *path, const char *which, char *out, size_t bytes)
{
    const char *dot = strrchr(path, '.');
    snprintf(out, bytes, "%.*s%s%s", (int)(dot - path), path, which, dot);
}

/* The folder in which a path names something, and the name. False: there is none. */
static bool folder_of(const char *path, struct stat *out_folder, const char **out_name)
{
    char folder[PASSO_FILE_PATH_BYTES];
    const char *slash = strrchr(path, '/');
    const int length = slash ? (int)(slash - path) + 1 : 0;
    *out_name = path + length;
    snprintf(folder, sizeof folder, "%.*s", length, path);
    return stat(slash ? folder : ".", out_folder) == 0;
}

/* Whether what is written to both would be one file, be it there already or not. */
static bool same_place(const char *path, const char *other)
{
    struct stat folder;
    struct stat other_folder;
    const char *name;
    const char *other_name;
    if (passo_same_file(path, other))
        return true;
    return folder_of(path, &folder, &name) && folder_of(other, &other_folder, &other_name) &&
           folder.st_dev == other_folder.st_dev && folder.st_ino == other_folder.st_ino &&
           strcmp(name, other_name) == 0;
}

/* Nothing that is written takes the place of another. */
static bool keep_apart(struct render *render)
{
    struct passo_faults *faults = &render->options->faults;
    const char *cues = render->options->cues;
    const char *pitch = render->pitch_path;
    char shown[PASSO_FILE_PATH_BYTES];
    if (*pitch && same_place(render->path, pitch))
        passo_fault(faults, "--stems: %s is the other of the two files too",
                    passo_text_clean(pitch, shown, sizeof shown));
    if (cues && strcmp(cues, "-") != 0 &&
        (same_place(cues, render->path) || (*pitch && same_place(cues, pitch))))
        passo_fault(faults, "--cues %s: that is the sound file; give the list another name",
                    passo_text_clean(cues, shown, sizeof shown));
    return faults->faults == 0;
}

bool render_paths(struct render *render)
{
    char name[NAME_MOST];
    char path[PASSO_FILE_PATH_BYTES];
    const char *out = render->out;
    if (is_folder(out))
        snprintf(path, sizeof path, "%s%s%s.wav", out, out[strlen(out) - 1] == '/' ? "" : "/",
                 render_name(render->title, render->tempi, name, sizeof name));
    else
        snprintf(path, sizeof path, "%s", out);
    if (render->options->stems) {
        stem(path, "-pulse", render->path, sizeof render->path);
        stem(path, "-pitch", render->pitch_path, sizeof render->pitch_path);
    } else {
        snprintf(render->path, sizeof render->path, "%s", path);
    }
    return keep_apart(render);
}
