/* The words of the errors, and the ends of the control side: a bug stops the program, and so does
 * memory that is out. */
#include <passo/error.h>

#include <stdio.h>
#include <stdlib.h>

static const char *const error_words[PASSO_ERROR_COUNT] = {
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
    return error_words[error];
}

static void (*before_last_words)(void);

void passo_on_last_words(void (*before)(void))
{
    before_last_words = before;
}

static _Noreturn void last_words(const char *words)
{
    if (before_last_words)
        before_last_words();
    fprintf(stderr, "passo: %s\n", words);
    abort();
}

_Noreturn void passo_bug(const char *condition, const char *file, int line)
{
    char words[512];
    snprintf(words, sizeof words, "a fault of the program at %s:%d: %s", file, line, condition);
    last_words(words);
}

_Noreturn void passo_out_of_memory(void)
{
    last_words("memory is out");
}

void *passo_xcalloc(unsigned long count, unsigned long bytes)
{
    void *fresh = calloc(count ? count : 1, bytes ? bytes : 1);
    if (!fresh)
        passo_out_of_memory();
    return fresh;
}

void *passo_xrealloc(void *old, unsigned long bytes)
{
    void *fresh = realloc(old, bytes ? bytes : 1);
    if (!fresh)
        passo_out_of_memory();
    return fresh;
}
