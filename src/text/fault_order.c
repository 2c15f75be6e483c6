/* Faults in the order of the lines that they speak of: those of one file among themselves, where
 * the first of them stands; the others stay where they are. */
#include "text/settings.h"

#include <stdlib.h>
#include <string.h>

/* The number behind "FILE, line ", and how long FILE is; -1 for a fault of no line. */
static long line_of(const char *fault, size_t *out_file)
{
    static const char word[] = ", line ";
    const char *at = strstr(fault, word);
    if (!at)
        return -1;
    *out_file = (size_t)(at - fault);
    return strtol(at + strlen(word), NULL, 10);
}

/* Whether b speaks of an earlier line of the file that a speaks of. */
static bool comes_first(const char *b, const char *a)
{
    size_t file_a = 0;
    size_t file_b = 0;
    long line_a = line_of(a, &file_a);
    long line_b = line_of(b, &file_b);
    return line_a >= 0 && line_b >= 0 && file_a == file_b && !strncmp(a, b, file_a) &&
           line_b < line_a;
}

void faults_order(struct passo_faults *faults)
{
    /* There are fifty at most. */
    for (size_t i = 1; i < faults->faults; i++) {
        for (size_t j = i; j > 0 && comes_first(faults->fault[j], faults->fault[j - 1]); j--) {
            char *later = faults->fault[j - 1];
            faults->fault[j - 1] = faults->fault[j];
            faults->fault[j] = later;
        }
    }
}
