/* Faults: the list of sentences on what is wrong, up to as many as a reader will set right at once,
 * and how a fault quotes the line that it is about. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FAULTS_MAX 50

void passo_faults_deinit(struct passo_faults *faults)
{
    for (size_t i = 0; i < faults->faults; i++)
        free(faults->fault[i]);
    free(faults->fault);
    *faults = (struct passo_faults){0};
}

bool lines_faults_full(const struct passo_faults *faults)
{
    return faults->faults > FAULTS_MAX;
}

void passo_fault(struct passo_faults *faults, const char *format, ...)
{
    if (lines_faults_full(faults))
        return;
    if (!faults->fault)
        faults->fault = passo_xcalloc(FAULTS_MAX + 1, sizeof *faults->fault);
    if (faults->faults == FAULTS_MAX) {
        faults->fault[faults->faults++] = scan_copy("there are more; set these right first");
        return;
    }
    va_list values;
    va_start(values, format);
    va_list again;
    va_copy(again, values);
    int length = vsnprintf(NULL, 0, format, values);
    PASSO_BUG_ON(length < 0);
    char *text = passo_xcalloc((size_t)length + 1, 1);
    vsnprintf(text, (size_t)length + 1, format, again);
    va_end(again);
    va_end(values);
    faults->fault[faults->faults++] = text;
}

const char *lines_quote(const char *text, char out[LINES_QUOTE_MAX])
{
    const char more[] = "...";
    passo_text_clean(text, out, LINES_QUOTE_MAX);
    if (strlen(text) >= LINES_QUOTE_MAX) {
        passo_text_clean(text, out, LINES_QUOTE_MAX - (sizeof more - 1));
        strcat(out, more);
    }
    return out;
}

void lines_fault(struct passo_faults *faults, const struct passo_line *line, const char *hint)
{
    char key[LINES_QUOTE_MAX];
    char value[LINES_QUOTE_MAX];
    char stage[LINES_QUOTE_MAX];
    const char *name = setting_stage_name(line->section);
    lines_quote(line->key, key);
    lines_quote(line->value, value);
    if (line->rank != PASSO_RANK_OPTION)
        passo_fault(faults, "%s: %s = %s: %s", line->origin, key, value, hint);
    else if (name)
        passo_fault(faults, "%s %s: %s = %s: %s", line->origin, lines_quote(name, stage), key,
                    value, hint);
    else if (setting_line_is_named(line))
        passo_fault(faults, "%s %s=%s: %s", line->origin, key, value, hint);
    else
        passo_fault(faults, "%s %s: %s", line->origin, *value ? value : "\"\"", hint);
}
