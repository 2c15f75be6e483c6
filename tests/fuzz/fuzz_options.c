/* Any text as options: lines of "key value", each as one long option. */
#include "fuzz.h"
#include "text/setup.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    static struct passo_setup setup;
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    char *text = calloc(1, bytes + 1);
    char *rest = text;
    memcpy(text, data, bytes);
    for (char *line; (line = strsep(&rest, "\n"));) {
        char *value = line;
        const char *key = strsep(&value, " ");
        passo_lines_add_option(&lines, key, value ? value : "", &faults);
    }
    passo_setup_resolve(&lines, false, &setup, &faults);
    passo_lines_deinit(&lines);
    passo_faults_deinit(&faults);
    free(text);
    return 0;
}
