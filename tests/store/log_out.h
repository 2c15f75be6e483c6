/* For the tests of the log: all of it as an export writes it. */
#ifndef PASSO_TESTS_STORE_LOG_OUT_H
#define PASSO_TESTS_STORE_LOG_OUT_H

#include "store/export.h"
#include "store/log_tools.h"

/* Free it. */
static inline char *exported(struct passo_log *log, const char *path, bool days)
{
    const struct passo_log_wish all = {0};
    const struct passo_export export = {
        .path = path, .force = true, .days = days, .wish = &all, .wishes = 1};
    char fault[FAULT_BYTES];
    char *text = NULL;
    size_t bytes = 0;
    uint64_t rows;
    assert_int_equal(passo_log_export(log, &export, &rows, fault, sizeof fault), PASSO_OK);
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    assert_true(getdelim(&text, &bytes, '\0', file) > 0);
    fclose(file);
    return text;
}

#endif
