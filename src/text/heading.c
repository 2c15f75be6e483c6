/* The comment lines that a file begins with: what a teacher wrote above a passage, when to use a
 * preset or a routine. */
#include "text/lines.h"
#include "text/notation.h"

#include <stdlib.h>
#include <string.h>

bool passo_file_heading_write(const char *path, FILE *to)
{
    struct passo_faults faults = {0};
    size_t length = 0;
    bool any = false;
    char *page = page_load(path, &length, &faults);
    char *at = page;
    if (at && !strncmp(at, "\xEF\xBB\xBF", 3))
        at += 3;
    while (at && (*(at += strspn(at, " \t\r")) == '#' || *at == ';')) {
        char *end = at + strcspn(at, "\r\n");
        char *next = end + strspn(end, "\r");
        next += *next == '\n';
        *end = '\0';
        char *shown = passo_xcalloc(strlen(at) + 1, 1);
        fprintf(to, "%s\n", passo_text_clean(at, shown, strlen(at) + 1));
        free(shown);
        at = next;
        any = true;
    }
    free(page);
    passo_faults_deinit(&faults);
    return any;
}

const char *passo_file_summary(const char *path, char *out, size_t bytes)
{
    struct passo_faults faults = {0};
    size_t length = 0;
    if (bytes)
        *out = '\0';
    char *page = page_load(path, &length, &faults);
    if (page) {
        char *line = page + (strncmp(page, "\xEF\xBB\xBF", 3) ? 0 : 3);
        line += strspn(line, " \t\r\n");
        if (*line == '#' || *line == ';') {
            line += strspn(line, "#; \t");
            line[strcspn(line, "\r\n")] = '\0';
            passo_text_clean(line, out, bytes);
        }
    }
    free(page);
    passo_faults_deinit(&faults);
    return out;
}
