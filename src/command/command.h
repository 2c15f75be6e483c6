/* The commands of the program: one file each; main.c only dispatches. Thread: the main thread. */
#ifndef PASSO_COMMAND_COMMAND_H
#define PASSO_COMMAND_COMMAND_H

/* Exit statuses (design.md section 7). */
enum passo_exit {
    PASSO_EXIT_DONE = 0,     /* done; of a climb: won */
    PASSO_EXIT_UNWON = 1,    /* a climb that ended without its target */
    PASSO_EXIT_USAGE = 2,    /* wrong usage or unreadable input */
    PASSO_EXIT_MACHINE = 3,  /* a fault of the machine: disk, device */
    PASSO_EXIT_SIGNAL = 128, /* and the signal that broke questions off: Ctrl-C makes it 130 */
};

struct passo_program_command {
    const char *name;
    const char *operand; /* "[FILE|NAME]" or "" */
    const char *summary; /* one line */
    const char *text;    /* a paragraph for --help */
    /* argv holds what comes after the command's name. */
    enum passo_exit (*run)(const struct passo_program_command *self, int argc, char **argv);
};

/* All commands, in the order of help; ends with a NULL name. */
extern const struct passo_program_command passo_commands[];

enum passo_exit passo_command_climb(const struct passo_program_command *self, int argc,
                                    char **argv);
enum passo_exit passo_command_pulse(const struct passo_program_command *self, int argc,
                                    char **argv);
enum passo_exit passo_command_demo(const struct passo_program_command *self, int argc, char **argv);
enum passo_exit passo_command_add(const struct passo_program_command *self, int argc, char **argv);
enum passo_exit passo_command_list(const struct passo_program_command *self, int argc, char **argv);
enum passo_exit passo_command_show(const struct passo_program_command *self, int argc, char **argv);
enum passo_exit passo_command_plan(const struct passo_program_command *self, int argc, char **argv);
enum passo_exit passo_command_today(const struct passo_program_command *self, int argc,
                                    char **argv);
enum passo_exit passo_command_check(const struct passo_program_command *self, int argc,
                                    char **argv);
enum passo_exit passo_command_hear(const struct passo_program_command *self, int argc, char **argv);
enum passo_exit passo_command_render(const struct passo_program_command *self, int argc,
                                     char **argv);
enum passo_exit passo_command_report(const struct passo_program_command *self, int argc,
                                     char **argv);
enum passo_exit passo_command_import(const struct passo_program_command *self, int argc,
                                     char **argv);
enum passo_exit passo_command_export(const struct passo_program_command *self, int argc,
                                     char **argv);
enum passo_exit passo_command_devices(const struct passo_program_command *self, int argc,
                                      char **argv);

#endif
