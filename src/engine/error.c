/* The words of the errors, and the ends of the control side: a bug stops the program, and so does
 * memory that is out. */
#include <passo/error.h>

#include <stdio.h>
#include <stdlib.h>

static const char *const words[PASSO_ERROR_COUNT] = {
    [PASSO_OK] = "no error",
    [PASSO_ERR_RANGE] = "a value outside its range",
    [PASSO_ERR_SYNTAX] = "text that cannot be read",
    [PASSO_ERR_FULL] = "no room left",
    [PASSO_ERR_STATE] = "not possible in this state",
    [PASSO_ERR_DEVICE] = "no sound device",
    [PASSO_ERR_FILE] = "a file that cannot be used",
    [PASSO_ERR_EXISTS] = "a file that exists already",
};

const char *passo_strerror(enum passo_error error)
{
    if ((unsigned)error >= PASSO_ERROR_COUNT)
        return "an unknown error";
    return words[error];
}

_Noreturn void passo_bug(const char *condition, const char *file, int line)
{
    fprintf(stderr, "passo: a fault of the program at %s:%d: %s\n", file, line, condition);
    abort();
}

static _Noreturn void out_of_memory(void)
{
    fputs("passo: memory is out\n", stderr);
    abort();
}

void *passo_xcalloc(unsigned long count, unsigned long bytes)
{
    void *fresh = calloc(count ? count : 1, bytes ? bytes : 1);
    if (!fresh)
        out_of_memory();
    return fresh;
}

void *passo_xrealloc(void *old, unsigned long bytes)
{
    void *fresh = realloc(old, bytes ? bytes : 1);
    if (!fresh)
        out_of_memory();
    return fresh;
}
