/* What the tests of routine files share. */
#ifndef PASSO_TESTS_ROUTINE_TOOLS_H
#define PASSO_TESTS_ROUTINE_TOOLS_H

#include "setup_tools.h"
#include "text/routine.h"

#define MIN_MS INT64_C(60000)

struct reading {
    struct passo_routine_file file;
    struct passo_faults faults;
};

static inline void write_text(const char *path, const char *text)
{
    write_file(path, text, strlen(text));
}

static inline void read_path(struct reading *reading, const char *path)
{
    memset(reading, 0, sizeof *reading);
    passo_routine_read(path, &reading->file, &reading->faults);
}

static inline void read_bytes(struct reading *reading, const void *bytes, size_t length)
{
    write_file("day.passo", bytes, length);
    read_path(reading, "day.passo");
}

static inline void read_text(struct reading *reading, const char *text)
{
    read_bytes(reading, text, strlen(text));
}

static inline void reading_end(struct reading *reading)
{
    passo_routine_deinit(&reading->file);
    passo_faults_deinit(&reading->faults);
}

static inline void assert_good(const struct reading *reading)
{
    for (size_t i = 0; i < reading->faults.faults; i++)
        print_error("fault: %s\n", reading->faults.fault[i]);
    assert_int_equal(reading->faults.faults, 0);
}

/* That there is exactly this one fault. */
static inline void assert_sentence(const struct reading *reading, const char *sentence)
{
    for (size_t i = 0; i < reading->faults.faults; i++)
        if (reading->faults.faults != 1 || strcmp(reading->faults.fault[i], sentence))
            print_error("fault: %s\nwanted: %s\n", reading->faults.fault[i], sentence);
    assert_int_equal(reading->faults.faults, 1);
    assert_string_equal(reading->faults.fault[0], sentence);
}

#endif
