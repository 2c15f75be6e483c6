/* The program: finds the command and runs it. */
#include <errno.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>
#include "command/command.h"
#include "output/output.h"
#include "text/notation.h"
#include "text/setup.h"
#include "view/views.h"

const struct passo_program_command passo_commands[] = {
    {"climb", "[FILE|NAME]", "work a hard passage up to its tempo",
     "Plays the pulse of a passage, pass by pass: count-in, passage, landing, rest.\n"
     "Mark each pass clean or missed by a key or a pedal, and the tempo climbs from\n"
     "the start to the target by the rules that you choose. NAME is a passage that\n"
     "passo add has filed. With no file at all: passo climb --target 96\n"
     "Exit status: 0 won, 1 ended without the target, 2 wrong usage or a file that\n"
     "cannot be read as it should, 3 a fault of the machine.",
     passo_command_climb},
    {"pulse", "", "a steady click",
     "A steady click, sample-accurate:\n"
     "passo pulse --tempo \"dotted quarter = 63\" --meter 6/8",
     passo_command_pulse},
    {"plan", "[FILE|NAME]", "show rungs, times and a forecast; no sound",
     "Shows what a climb would be: its rungs, turns, count-ins, passes and rests. Then\n"
     "what to expect, from many climbs by chance: how long it takes, how often it\n"
     "arrives, where it ends if not. Say how often you play it clean (--clean) or let\n"
     "the marks of earlier days say it (--after), and set another preset beside it:\n"
     "passo plan march --clean \"85 % at 72, 40 % at 96\" --against patient",
     passo_command_plan},
    {"today", "[ROUTINE]", "the day's fundamentals, with your passages set in",
     "Plays a routine block by block, with the passages that are due set in where their\n"
     "key or their pattern comes up, each for a few minutes and with nothing to lose:\n"
     "passo today --minutes 30. --list only shows the day: what, where, how long, why.\n"
     "ROUTINE is one of passo list routines, or a file with a / in its path; a routine of\n"
     "your own of the name today is taken where none is named. Stop with q, or lose the\n"
     "laptop's battery: passo today goes on where you left, the same day.\n"
     "A rest is offered where it is due. Stop at pain, numbness or a dry, swollen lip, and ask\n"
     "a teacher or a clinician.\n"
     "Exit status: 0 all of it was done or left out, 1 some is left for later today.",
     passo_command_today},
    {"check", "[NAME...]", "the last look before a performance",
     "Each spot of the programme once, in the order in which you name them (or all of your\n"
     "own), but a comfortable one last, if the log knows one; at its tempo or a little under,\n"
     "with long rests; after a miss once more at 80 %, never a third time. Nothing is won or\n"
     "lost, no tempo moves, and it is over in under eight minutes:\n"
     "passo check run-up low-entry jig --at \"90 %\"",
     passo_command_check},
    {"hear", "FILE|NAME", "the notes of a passage, played by the machine",
     "Plays the notes of a passage: at any tempo, in any octave, one loop or variant of it,\n"
     "or in turns with you; through all twelve keys, if you like. Nothing of it is kept.\n"
     "The notes stand in the passage's file: notes = ..., or notes-from = FILE.\n"
     "passo hear march --tempo \"60 %\" --only \"run up\" --alternate --times 4",
     passo_command_hear},
    {"render", "[FILE|NAME] OUT", "a practice track, as a sound file for the phone",
     "Writes what a climb would sound like if every pass were clean: starting notes,\n"
     "count-ins, passes and rests, each tempo in each turn twice, or --passes N times:\n"
     "passo render march march.mp3\n"
     "passo render march phone/ --only \"first half\" --tempo \"quarter = 80\" --passes 6\n"
     "OUT's ending says the kind: .wav, .flac, .ogg, .opus or .mp3; a folder gets a WAV file\n"
     "that is named by title and tempi. Rests are part of it: rest when it does.\n"
     "Without a passage a pulse, a drone or a routine:\n"
     "passo render --pulse \"quarter = 120\" --minutes 60 pulse.wav\n"
     "passo render --drone \"B-flat 2\" --minutes 5 drone.flac\n"
     "passo render --routine thirty thirty.ogg",
     passo_command_render},
    {"add", "FILE...", "file a passage; --new NAME asks for one",
     "Files a copy of each passage file among your own, so that its name is enough:\n"
     "passo climb NAME. With --new NAME there is no file yet: passo asks the few\n"
     "things that it needs to know, and takes an option as the answer to its question.",
     passo_command_add},
    {"list", "[KIND]", "list passages, presets, routines, click sets",
     "Lists your own passages and those that ship; with presets, routines or sounds as\n"
     "KIND those that can be named.\n"
     "Of your own also what the log has: the best tempo won, the tempo at which it is\n"
     "secure (four of five passes clean; 124+ at least that, <84 slower), passes, minutes\n"
     "played, the last day, and whether it is due again.",
     passo_command_list},
    {"show", "FILE|NAME", "show a passage or a preset, all that holds",
     "Writes a passage or a preset out as a file, with all that holds, said or not.\n"
     "Options change what holds, as for climb: passo show march --preset steady",
     passo_command_show},
    {"report", "[NAME...]", "how the practice goes, for you and the teacher",
     "Shows what the log has of your passages, or of those that you name: where each\n"
     "stands, its curve, its days, where it breaks. NAME is a filed passage or a title.\n"
     "With --out a page for a browser or a printer: passo report march --out march.html\n"
     "For the teacher of many, the last week of every player but yourself, or the days\n"
     "and the players that you say (own: you), each passage in the order of the names:\n"
     "passo report --studio --players \"A.B., C.D., own\" --from \"14 days ago\"",
     passo_command_report},
    {"demo", "", "a simulated climb; any key takes over",
     "A climb of an invented march with a simulated player. Any key takes over.",
     passo_command_demo},
    {"export", "[NAME...]", "write the record as CSV",
     "Writes the log as a session CSV, one row a pass, or with --days one row a passage\n"
     "and day; of some passages, if they are named: by the name that passo add filed\n"
     "them under, or by their title. passo import reads a session CSV back.",
     passo_command_export},
    {"import", "FILE...", "take session CSVs into the record",
     "Takes session CSVs into the log, each all or nothing. What is there already is\n"
     "not added again, so a file may be taken in as often as it grows. A row marked\n"
     "changed corrects the pass that it names. -: standard input.",
     passo_command_import},
    {"devices", "", "list the sound devices", "Lists the sound devices, their rates and latencies.",
     passo_command_devices},
    {NULL, NULL, NULL, NULL, NULL}};

static void print_help(FILE *to)
{
    fputs("passo: a practice pulse with a tempo ladder, for hard passages\n\n", to);
    for (const struct passo_program_command *command = passo_commands; command->name; command++)
        fprintf(to, "  passo %-8s %-17s %s\n", command->name, command->operand, command->summary);
    fputs("\nThe first thing to try: passo demo. Then: passo climb --target 96\n"
          "passo COMMAND --help tells more; passo --version tells which passo this is.\n\n"
          "Keep the level low in headphones and rest your ears; rest as long as you play;\n"
          "stop at pain, numbness or a dry, swollen lip, and ask a teacher or a clinician.\n",
          to);
}

/* A fault of the program is told on the terminal as it was, and on the true stderr. */
static void clear_the_stage(void)
{
    passo_views_give_back();
    dup2(passo_devices_stderr(), STDERR_FILENO);
}

/* What was written must have arrived, or the exit status says so. */
static enum passo_exit finish(enum passo_exit ended)
{
    errno = 0;
    if (fflush(stdout) == 0 && !ferror(stdout))
        return ended;
    /* A reader that has seen enough (passo ... | head) is no fault. */
    struct pollfd out = {.fd = STDOUT_FILENO, .events = POLLOUT};
    if (poll(&out, 1, 0) == 1 && (out.revents & POLLERR))
        return ended;
    fprintf(stderr, "passo: standard output cannot be written%s%s\n", errno ? ": " : "",
            errno ? strerror(errno) : "");
    return PASSO_EXIT_MACHINE;
}

static void tell_unknown(const char *name)
{
    const char *nearest = NULL;
    size_t best = SIZE_MAX;
    char shown[64];
    for (const struct passo_program_command *command = passo_commands; command->name; command++) {
        if (passo_word_nearer(name, command->name, &best))
            nearest = command->name;
    }
    fprintf(stderr, "passo: %s: there is no command of that name; %s%s%s\n",
            passo_text_clean(name, shown, sizeof shown), nearest ? "did you mean " : "",
            nearest ? nearest : "passo --help lists them", nearest ? "?" : "");
}

int main(int argc, char **argv)
{
    /* Character set only: numbers keep their decimal point. */
    setlocale(LC_CTYPE, "");
    if (argc < 2) {
        print_help(stderr);
        return PASSO_EXIT_USAGE;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 ||
        strcmp(argv[1], "help") == 0) {
        print_help(stdout);
        return (int)finish(PASSO_EXIT_DONE);
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("passo " PASSO_VERSION);
        return (int)finish(PASSO_EXIT_DONE);
    }
    passo_on_last_words(clear_the_stage);
    signal(SIGXFSZ, SIG_IGN); /* a file that may not grow is told like a full disk */
    for (const struct passo_program_command *command = passo_commands; command->name; command++) {
        if (strcmp(argv[1], command->name) == 0)
            return (int)finish(command->run(command, argc - 2, argv + 2));
    }
    tell_unknown(argv[1]);
    return PASSO_EXIT_USAGE;
}
