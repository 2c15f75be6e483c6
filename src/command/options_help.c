/* --help of every command: the options of the run, the lines of a passage file, presets, keys. The
 * table of the former stands here. Runs on the main thread. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/options_priv.h"
#include "view/views.h"

const struct run_option run_options[] = {
    {"plain", PASSO_TAKES_RUN, "", "lines of text instead of the screen"},
    {"silent", PASSO_TAKES_RUN, "", "no sound: the clock alone"},
    {"device", PASSO_TAKES_RUN, "NAME", "part of a sound device's name, or its number"},
    {"fast", PASSO_TAKES_CLIMB, "", "simulated time: a whole climb in a moment, for scripts"},
    {"fast", PASSO_TAKES_HEAR, "", "simulated time, without sound: for scripts"},
    {"only", PASSO_TAKES_RENDER | PASSO_TAKES_HEAR, "NAMES",
     "a loop, a variant, or both: \"first half, octave down\""},
    {"passes", PASSO_TAKES_RENDER, "N", "passes at each tempo in each turn (2)"},
    {"tempo", PASSO_TAKES_RENDER, "TEMPO|SHARE",
     "at this tempo alone: 80, \"quarter = 80\", or \"80 %\" of the target"},
    {"tempo", PASSO_TAKES_HEAR, "TEMPO|SHARE",
     "80, \"quarter = 80\", or \"80 %\" of the target (the target)"},
    {"times", PASSO_TAKES_HEAR, "N", "so many times (1; with --alternate 4)"},
    {"alternate", PASSO_TAKES_HEAR, "", "hear it, then play it yourself, so many rounds"},
    {"octave", PASSO_TAKES_HEAR, "N", "octaves up, or down: -1"},
    {"keys", PASSO_TAKES_HEAR, "KEYS",
     "through these keys: fourths, fifths, \"chromatic up\", \"chromatic down\" (all twelve), or "
     "\"F, B-flat\"; major or minor as the passage is"},
    {"pulse", PASSO_TAKES_RENDER, "TEMPO", "a steady pulse, in place of a passage"},
    {"routine", PASSO_TAKES_RENDER, "NAME|FILE",
     "the blocks of a routine, in place of a passage; without visits and offered rests"},
    {"minutes", PASSO_TAKES_RENDER, "N", "of a pulse or a drone (5), or of the routine"},
    {"rate", PASSO_TAKES_RENDER, "HZ", "frames a second (48000)"},
    {"bits", PASSO_TAKES_RENDER, "16|24|float", "of WAV, and of FLAC but float (16)"},
    {"sides", PASSO_TAKES_RENDER, "", "the pulse on the left, tones on the right"},
    {"stems", PASSO_TAKES_RENDER, "", "two files, OUT-pulse and OUT-pitch, in place of one"},
    {"cues", PASSO_TAKES_RENDER, "FILE|-",
     "a list of what comes when, a row a bar: .csv as a table, else as text"},
    {"seed", PASSO_TAKES_RENDER, "N",
     "what chance draws: tempi, silent bars; the same again with the same N (1)"},
    {"marks", PASSO_TAKES_CLIMB, "FILE|-",
     "marks from a file: c clean, m miss, . unmarked, v void, u undo"},
    {"simulate", PASSO_TAKES_CLIMB, "",
     "a simulated player, good and learning as he goes, marks the passes"},
    {"ability", PASSO_TAKES_PRACTICE, "TEMPO",
     "the simulated player learns nothing and plays half of the passes clean at this tempo"},
    {"seed", PASSO_TAKES_CLIMB | PASSO_TAKES_PLAN, "N",
     "what chance does to a simulated player; the same again with the same N"},
    {"clean", PASSO_TAKES_PLAN, "SHARES",
     "how often a pass is clean now: \"85 % at 72, 40 % at 96\" (one is enough)"},
    {"against", PASSO_TAKES_PLAN, "PRESET", "beside it the same passage under this preset"},
    {"runs", PASSO_TAKES_PLAN, "N", "how often the climb is tried by chance (10000)"},
    {"after", PASSO_TAKES_AFTER, "LOG",
     "a session CSV of earlier days: the climb opens where the last of them lets it"},
    {"csv", PASSO_TAKES_CLIMB, "FILE|-", "write one row a pass"},
    {"csv", PASSO_TAKES_EXPORT, "FILE|-", "where to write it (-: standard output, the usual)"},
    {"days", PASSO_TAKES_EXPORT, "", "one row a passage and day, in place of one a pass"},
    {"out", PASSO_TAKES_REPORT, "PAGE.html", "write a page for a browser or a printer"},
    {"studio", PASSO_TAKES_REPORT, "", "for the teacher of many: a row a player and passage"},
    {"players", PASSO_TAKES_REPORT, "NAMES", "whose, in this order: \"A.B., C.D.\""},
    {"ascii", PASSO_TAKES_REPORT, "", "draw with plain letters and signs"},
    {"force", PASSO_TAKES_CLIMB | PASSO_TAKES_EXPORT | PASSO_TAKES_REPORT | PASSO_TAKES_RENDER, "",
     "write over a file that is there"},
    {"log", PASSO_TAKES_LOG, "FILE", "the log (else the one in your data folder)"},
    {"no-log", PASSO_TAKES_AFTER, "", "without the log: nothing is read from it or kept in it"},
    {"no-log", PASSO_TAKES_TODAY | PASSO_TAKES_CHECK, "",
     "without the log: nothing is read from it or kept in it"},
    {"afresh", PASSO_TAKES_PRACTICE, "", "do not go on with a climb that was cut short today"},
    {"afresh", PASSO_TAKES_TODAY, "", "begin the day anew, whatever was done of it"},
    {"date", PASSO_TAKES_AFTER | PASSO_TAKES_RECORD, "DATE",
     "as if it were that day: 2026-11-25, or \"2026-11-25 18:30\" (a climb: with --fast)"},
    {"date", PASSO_TAKES_TODAY | PASSO_TAKES_CHECK, "DATE",
     "as if it were that day: 2026-11-25 (with --list or --fast)"},
    {"minutes", PASSO_TAKES_TODAY, "N", "how long the whole day is to take"},
    {"list", PASSO_TAKES_TODAY | PASSO_TAKES_CHECK, "", "only show what would be played, and why"},
    {"only", PASSO_TAKES_TODAY, "NAMES",
     "of these passages alone: \"march, jig\"; none: no visits"},
    {"all", PASSO_TAKES_TODAY, "", "also those that hold their level and could rest today"},
    {"order", PASSO_TAKES_TODAY, "HOW",
     "mixed: visits of a passage lie apart; blocked: they follow one another"},
    {"at", PASSO_TAKES_CHECK, "SHARE", "of the target, 85 % to 100 % (100 %)"},
    {"drawn", PASSO_TAKES_CHECK, "", "in drawn order, as in an audition"},
    {"quiet", PASSO_TAKES_CHECK, "HOW",
     "for the green room: \"octave down\", soft, or fingers (without the horn's sound)"},
    {"from", PASSO_TAKES_RECORD, "DATE", "from this day: 2026-11-01, or \"14 days ago\""},
    {"to", PASSO_TAKES_RECORD, "DATE", "up to this day"},
    {"name", PASSO_TAKES_FILING, "NAME", "file it under this name (else the file's own)"},
    {"new", PASSO_TAKES_FILING, "NAME", "make a passage: asks what the options below do not say"},
    {"force", PASSO_TAKES_FILING, "", "in place of one that is filed under that name"},
    {"player", PASSO_TAKES_CLIMB | PASSO_TAKES_PLAN, "NAME",
     "who plays, for the record (initials or a code will do)"},
    {"player", PASSO_TAKES_RECORD, "NAME", "of this player alone"},
    {"player", PASSO_TAKES_IMPORT, "NAME", "whose passes they are, whatever the file says"},
    {"by-file-name", PASSO_TAKES_IMPORT, "", "each file's name says whose they are: anna.csv"},
    {"tempo", PASSO_TAKES_TEMPO, "TEMPO", "the tempo of the pulse"},
    {"minutes", PASSO_TAKES_TEMPO, "N", "end after so long"},
    {"verbose", PASSO_TAKES_DEVICES, "", "also what the sound libraries had to say"},
    {"help", ~0u, "", "this help"},
};

const size_t run_options_count = sizeof run_options / sizeof run_options[0];

enum { HELP_COLUMN = 30, HELP_WIDTH = 80 };

/* Words in a column of their own, folded at blanks. */
void passo_print_folded(const char *left, const char *words)
{
    int column = printf("  %-*s", HELP_COLUMN - 3, left);
    if (column >= HELP_COLUMN) {
        putchar('\n');
        column = 0;
    }
    while (*words) {
        int length = (int)strcspn(words, " ");
        if (column > HELP_COLUMN && column + 1 + length > HELP_WIDTH) {
            putchar('\n');
            column = 0;
        }
        int gap = column < HELP_COLUMN ? HELP_COLUMN - column : 1;
        column += printf("%*s%.*s", gap, "", length, words);
        words += length + (words[length] == ' ');
    }
    putchar('\n');
}

static void print_row(const char *name, const char *value, const char *help, const char *usual)
{
    char left[80];
    char words[512];
    snprintf(left, sizeof left, "--%s%s%s", name, value[0] ? " " : "", value);
    snprintf(words, sizeof words, "%s%s%s%s", help, usual[0] ? " (" : "", usual,
             usual[0] ? ")" : "");
    passo_print_folded(left, words);
}

/* A steady pulse has no ladder and nothing to mark; it sounds a drone, but there is no pass that
 * could be heard first. */
static bool of_pulse(const struct passo_setting *setting)
{
    static const char *const sections[] = {"passage", "shape", "pulse", "pitch"};
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        if (strcmp(setting->section, sections[i]) == 0)
            return strcmp(setting->key, "hear") != 0;
    return false;
}

static void print_settings(unsigned takes)
{
    size_t count;
    const char *section = "";
    const struct passo_setting *settings = passo_settings(&count);
    printf("\nThe same lines as in a passage file; in brackets what holds if nothing is said.\n"
           "A value with a blank in it needs quotes: --steps \"8 bpm\", --loop \"run up=1-2\"\n");
    for (size_t i = 0; i < count; i++) {
        if ((takes & PASSO_TAKES_TEMPO) && !of_pulse(&settings[i]))
            continue;
        if (strcmp(section, settings[i].section) != 0)
            printf("\n[%s]\n", settings[i].section);
        section = settings[i].section;
        print_row(settings[i].key, settings[i].value, settings[i].help, settings[i].usual);
    }
}

static void print_keys(unsigned takes)
{
    size_t count;
    const struct passo_key_help *keys = passo_key_table(&count);
    printf("\nKeys while it runs:\n");
    for (size_t i = 0; i < count; i++) {
        enum passo_command command = keys[i].command;
        bool pulse = command == PASSO_COMMAND_PAUSE || command == PASSO_COMMAND_HARDER ||
                     command == PASSO_COMMAND_EASIER || command == PASSO_COMMAND_LOUDER ||
                     command == PASSO_COMMAND_SOFTER || command == PASSO_COMMAND_HELP ||
                     command == PASSO_COMMAND_QUIT;
        bool hear = command == PASSO_COMMAND_PAUSE || command == PASSO_COMMAND_TURN ||
                    command == PASSO_COMMAND_SOONER || command == PASSO_COMMAND_LONGER ||
                    command == PASSO_COMMAND_LOUDER || command == PASSO_COMMAND_SOFTER ||
                    command == PASSO_COMMAND_HELP || command == PASSO_COMMAND_QUIT;
        const char *words = keys[i].words;
        if ((takes & PASSO_TAKES_HEAR) && !hear)
            continue;
        if ((takes & PASSO_TAKES_HEAR) && command == PASSO_COMMAND_TURN)
            words = "the next key, of several";
        if ((takes & PASSO_TAKES_HEAR) && command == PASSO_COMMAND_SOONER)
            words = "with --alternate: cut the rest short";
        if ((takes & PASSO_TAKES_HEAR) && command == PASSO_COMMAND_LONGER)
            words = "with --alternate: ten seconds more rest";
        if (takes & PASSO_TAKES_TEMPO) {
            if (!pulse)
                continue;
            words = command == PASSO_COMMAND_HARDER   ? "faster by one"
                    : command == PASSO_COMMAND_EASIER ? "slower by one"
                                                      : words;
        }
        passo_print_folded(keys[i].keys, words);
    }
}

static void print_presets(void)
{
    char summary[256];
    char **names;
    size_t count = passo_find_all("presets", &names);
    printf("\nPresets (--preset NAME):\n");
    for (size_t i = 0; i < count; i++) {
        passo_print_folded(names[i], passo_preset_summary(names[i], summary, sizeof summary));
        free(names[i]);
    }
    free(names);
}

void options_print_help(unsigned takes, const struct passo_program_command *command)
{
    printf("passo %s%s%s [OPTIONS]\n\n%s\n\nOptions:\n", command->name,
           command->operand[0] ? " " : "", command->operand, command->text);
    for (size_t i = 0; i < run_options_count; i++) {
        if (run_options[i].takes & takes)
            print_row(run_options[i].name, run_options[i].value, run_options[i].help, "");
    }
    if (takes & PASSO_TAKES_SETUP) {
        print_settings(takes);
        if (!(takes & PASSO_TAKES_TEMPO))
            print_presets();
    }
    if (takes & PASSO_TAKES_RUN)
        print_keys(takes);
}
