/* The table of the options that concern the run, for reading and for help. */
#ifndef PASSO_COMMAND_OPTIONS_PRIV_H
#define PASSO_COMMAND_OPTIONS_PRIV_H

#include "command/options.h"

struct run_option {
    const char *name;
    unsigned takes;    /* enum passo_takes */
    const char *value; /* "" for a switch */
    const char *help;
};

extern const struct run_option run_options[];
extern const size_t run_options_count;

/* Prints --help of a command. */
void options_print_help(unsigned takes, const struct passo_program_command *command);

#endif
