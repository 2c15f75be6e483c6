/* Any bytes as a passage file: what resolves without a fault is written out, reads back without
 * one, and is then written as the same text. */
#include "fuzz.h"
#include "text/setup.h"

#include <stdio.h>

struct trial {
    struct passo_lines lines;
    struct passo_faults faults;
    struct passo_setup setup;
};

static bool read_trial(struct trial *trial, const uint8_t *data, size_t bytes)
{
    char path[64];
    int fd = fuzz_file(data, bytes, path, sizeof path);
    trial->lines = (struct passo_lines){0};
    trial->faults = (struct passo_faults){0};
    passo_lines_add_file(&trial->lines, path, &trial->faults);
    passo_setup_resolve(&trial->lines, false, &trial->setup, &trial->faults);
    close(fd);
    return trial->faults.faults == 0;
}

static void end_trial(struct trial *trial)
{
    passo_lines_deinit(&trial->lines);
    passo_faults_deinit(&trial->faults);
}

static char *write_trial(const struct trial *trial, size_t *out_bytes)
{
    char *text = NULL;
    FILE *to = open_memstream(&text, out_bytes);
    passo_setup_write(&trial->lines, &trial->setup, true, to);
    fclose(to);
    return text;
}

/* The comment at the top names a preset, which the text then is free of. */
static const char *body(const char *text)
{
    while (*text == '#' || *text == '\n')
        text += strcspn(text, "\n") + 1;
    return text;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct trial first;
    static struct trial back;
    if (read_trial(&first, data, bytes)) {
        size_t length = 0;
        size_t again_length = 0;
        char *text = write_trial(&first, &length);
        if (!read_trial(&back, (const uint8_t *)text, length))
            abort();
        char *again = write_trial(&back, &again_length);
        if (strcmp(body(again), body(text)) != 0)
            abort();
        end_trial(&back);
        free(again);
        free(text);
    }
    end_trial(&first);
    return 0;
}
