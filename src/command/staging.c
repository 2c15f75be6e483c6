/* Puts a session together from its options. */
#include "command/staging.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>
#include "command/after.h"
#include "command/logbook.h"
#include "session/signals.h"
#include "store/beside.h"
#include "text/notation.h"
#include "view/views.h"

static const char care[] = "A word of care, said once: keep the level low in headphones\n"
                           "and rest your ears. Rest as long as you play. Stop at pain,\n"
                           "numbness or a dry, swollen lip, and ask a teacher or a\n"
                           "clinician.\n";

/* True the first time on this account: leaves a file in the XDG state folder. */
static bool first_run(void)
{
    char folder[PASSO_PATH_BYTES];
    char file[PASSO_PATH_BYTES + 16];
    const char *state = getenv("XDG_STATE_HOME");
    const char *home = getenv("HOME");
    if (state && state[0] == '/')
        snprintf(folder, sizeof folder, "%s", state);
    else if (home && home[0] == '/')
        snprintf(folder, sizeof folder, "%s/.local/state", home);
    else
        return false;
    size_t length = strlen(folder);
    snprintf(folder + length, sizeof folder - length, "/passo");
    for (char *slash = folder + 1; *slash; slash++) {
        if (*slash != '/')
            continue;
        *slash = '\0';
        mkdir(folder, 0700);
        *slash = '/';
    }
    mkdir(folder, 0700);
    snprintf(file, sizeof file, "%s/care-told", folder);
    int fd = open(file, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd >= 0)
        close(fd);
    return fd >= 0;
}

/* A simulated player who is at home a little under the target and learns, or who plays as well as
 * is said throughout. */
struct passo_player_model passo_staging_player(int32_t target_mbpm, int32_t ability_mbpm)
{
    bool said = ability_mbpm > 0;
    return (struct passo_player_model){.t50_mbpm = said ? ability_mbpm
                                                        : passo_tempo_share(target_mbpm, 990),
                                       .spread_mbpm = passo_tempo_share(target_mbpm, 60),
                                       .learn_mbpm = said ? 0 : passo_tempo_share(target_mbpm, 8),
                                       .ceiling_mbpm = passo_tempo_share(target_mbpm, 1250)};
}

static void simulate(struct passo_staging *staging, const struct passo_options *options)
{
    staging->marker = (struct passo_marker){
        .model = passo_staging_player(staging->setup.rule.target_mbpm, staging->ability_mbpm)};
    passo_random_seed(&staging->marker.random, options->seed);
    staging->has_marker = true;
}

static void read_ability(struct passo_staging *staging, struct passo_options *options)
{
    struct passo_ratio unit;
    char shown[64];
    if (!options->ability)
        return;
    options->simulate = true;
    if (options->faults.faults)
        return;
    if (passo_tempo_read(options->ability, &staging->ability_mbpm, &unit) == PASSO_OK)
        staging->ability_mbpm =
            passo_tempo_in_beat(staging->ability_mbpm, unit, staging->setup.passage.beat);
    if (staging->ability_mbpm == 0)
        passo_fault(&options->faults,
                    "--ability %s: a tempo from 5 to 1000 is wanted, such as 92 or quarter = 92",
                    passo_text_clean(options->ability, shown, sizeof shown));
}

static enum passo_exit open_marker(struct passo_staging *staging,
                                   const struct passo_options *options)
{
    char fault[512];
    if (options->simulate)
        simulate(staging, options);
    if (!options->marks)
        return PASSO_EXIT_DONE;
    if (passo_marker_script(&staging->marker, options->marks, fault, sizeof fault) != PASSO_OK) {
        passo_tell(fault);
        return PASSO_EXIT_USAGE;
    }
    staging->has_marker = true;
    return PASSO_EXIT_DONE;
}

static enum passo_exit open_csv(struct passo_staging *staging, const struct passo_options *options)
{
    char fault[PASSO_PATH_BYTES + 128];
    if (!options->csv)
        return PASSO_EXIT_DONE;
    enum passo_error error =
        passo_csv_open(options->csv, options->force, &staging->run.csv, fault, sizeof fault);
    if (error == PASSO_OK)
        return PASSO_EXIT_DONE;
    staging->run.view->ops->close(staging->run.view);
    passo_tell(fault);
    return error == PASSO_ERR_EXISTS ? PASSO_EXIT_USAGE : PASSO_EXIT_MACHINE;
}

/* The screen where there is one; lines of text where not, or when they were asked for. Lines go to
 * stderr if the CSV takes standard output. */
static enum passo_exit open_view(struct passo_staging *staging, const struct passo_options *options)
{
    char fault[256];
    bool csv_on_stdout = options->csv && strcmp(options->csv, "-") == 0;
    bool marks_on_stdin = options->marks && strcmp(options->marks, "-") == 0;
    bool terminal = isatty(STDOUT_FILENO) && isatty(STDIN_FILENO);
    if (options->plain || options->fast || csv_on_stdout || !terminal) {
        staging->run.view = passo_plain_open(csv_on_stdout ? stderr : stdout,
                                             marks_on_stdin || options->fast ? -1 : STDIN_FILENO);
        return PASSO_EXIT_DONE;
    }
    if (passo_screen_open(&staging->run.view, fault, sizeof fault) == PASSO_OK) {
        staging->first_run = first_run();
        return PASSO_EXIT_DONE;
    }
    passo_tell(fault);
    return PASSO_EXIT_USAGE;
}

/* A click set by its name becomes its folder; a folder stays what it is. */
void passo_staging_sounds(struct passo_setup *setup, struct passo_faults *faults)
{
    char path[PASSO_PATH_BYTES];
    char known[256] = "";
    char shown[128];
    char **names;
    char *sounds = setup->sounds;
    if (!sounds[0] || strchr(sounds, '/'))
        return;
    if (passo_find("sounds", sounds, path)) {
        memcpy(sounds, path, sizeof path);
        return;
    }
    size_t count = passo_find_all("sounds", &names);
    for (size_t i = 0; i < count; i++) {
        size_t used = strlen(known);
        snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", names[i]);
        free(names[i]);
    }
    free(names);
    passo_fault(faults,
                "--sounds %s: there is no click set of that name; there are: %s, or a folder "
                "with a / in its path",
                passo_text_clean(sounds, shown, sizeof shown), known);
}

/* What earlier days, or a climb that was cut short today, say of this one. The log is read before a
 * CSV is begun, but one that stands in its place would be lost. */
static void read_after(struct passo_staging *staging, struct passo_options *options)
{
    struct passo_log *record = staging->keeping.log;
    if (options->faults.faults)
        return;
    if (record && !passo_keeping_look_back(&staging->keeping, options, &options->lines,
                                           staging->player, &staging->setup, staging->opening_words,
                                           sizeof staging->opening_words))
        record = NULL;
    if (staging->keeping.goes_on || options->faults.faults)
        return;
    /* Of a passage without a title the log knows nothing. */
    if (!options->after && (!record || !staging->setup.passage.title[0]))
        return;
    if (options->after && options->csv && passo_same_file(options->after, options->csv)) {
        passo_fault(&options->faults, "--csv would write over the log that --after reads; give it "
                                      "another name");
        return;
    }
    const struct passo_after after = {.log = options->after,
                                      .record = record,
                                      .player = staging->player,
                                      .today = options->lines.today_yyyymmdd};
    passo_after_read(&after, &staging->setup, staging->opening_words, sizeof staging->opening_words,
                     NULL, &options->faults);
}

/* Tempi in drawn order are drawn anew each time, unless the player names the seed. */
void passo_staging_seed(struct passo_setup *setup, const struct passo_options *options)
{
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    uint64_t state = (uint64_t)now.tv_sec * 1000000000 + (uint64_t)now.tv_nsec;
    if (options->seeded)
        state = options->seed;
    for (size_t i = 0; i < setup->course.stages; i++)
        setup->course.stage[i].rule.seed = passo_random_mix(&state);
}

void passo_staging_check(struct passo_options *options)
{
    if (options->marks && (options->simulate || options->ability))
        passo_fault(&options->faults, "--marks and --simulate exclude each other");
    if (options->wall_ns && !options->fast && !options->list)
        passo_fault(&options->faults,
                    "--date goes with --fast: what is played now is played today");
    if (options->csv && passo_logbook_is(options, options->csv))
        passo_fault(&options->faults, "--csv %s is the log itself; name another file",
                    options->csv);
}

enum passo_exit passo_staging_raise(struct passo_staging *staging,
                                    const struct passo_options *options)
{
    enum passo_exit ended = open_marker(staging, options);
    if (ended == PASSO_EXIT_DONE) {
        /* Until here a signal ends the program as usual, also in a file that does not come. */
        passo_signals_init();
        ended = open_view(staging, options);
    }
    if (ended == PASSO_EXIT_DONE)
        ended = open_csv(staging, options);
    if (ended != PASSO_EXIT_DONE) {
        passo_marker_deinit(&staging->marker);
        passo_keeping_close(&staging->keeping);
        return ended;
    }
    staging->run.marker = staging->has_marker ? &staging->marker : NULL;
    staging->run.ask.device = options->device;
    staging->run.player = staging->player;
    staging->run.wall_ns = options->wall_ns;
    staging->csv = options->csv;
    staging->run.output = options->fast     ? &passo_output_simulated
                          : options->silent ? &passo_output_silent
                                            : &passo_output_portaudio;
    return PASSO_EXIT_DONE;
}

enum passo_exit passo_staging_open(struct passo_staging *staging, struct passo_options *options)
{
    *staging = (struct passo_staging){0};
    passo_staging_check(options);
    /* What a file that cannot be read may have said is not asked for. */
    bool need_target = options->faults.faults == 0;
    passo_setup_resolve(&options->lines, need_target, &staging->setup, &options->faults);
    passo_operand_title(options, &staging->setup);
    passo_staging_sounds(&staging->setup, &options->faults);
    read_ability(staging, options);
    passo_text_clean(options->player, staging->player, sizeof staging->player);
    enum passo_exit ended = PASSO_EXIT_DONE;
    if (!options->faults.faults && !passo_keeping_open(&staging->keeping, options, &ended))
        return ended;
    passo_staging_seed(&staging->setup, options);
    read_after(staging, options);
    if (passo_faults_told(&options->faults)) {
        passo_keeping_close(&staging->keeping);
        return PASSO_EXIT_USAGE;
    }
    ended = passo_staging_raise(staging, options);
    if (ended != PASSO_EXIT_DONE)
        return ended;
    staging->run.setup = &staging->setup;
    passo_keeping_ready(&staging->keeping, &options->lines, &staging->run);
    staging->run.opening_words = staging->opening_words;
    return PASSO_EXIT_DONE;
}

bool passo_staging_close(struct passo_staging *staging, const struct passo_climb_result *result,
                         size_t results)
{
    bool hidden = strcmp(staging->run.view->ops->name, "screen") == 0;
    staging->run.view->ops->close(staging->run.view);
    bool kept = passo_csv_close(staging->run.csv) == PASSO_OK;
    if (!kept)
        fprintf(stderr, "passo: %s: rows could not be written; is the disk full?\n", staging->csv);
    passo_marker_deinit(&staging->marker);
    if (hidden && results > 0 && result->words[0])
        printf("%s\n", result->words);
    for (size_t i = 0; i < results; i++)
        kept &= passo_keeping_told(&staging->keeping, &result[i]);
    passo_keeping_close(&staging->keeping);
    if (staging->first_run)
        fputs(care, stdout);
    return kept;
}
