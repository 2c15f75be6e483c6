/* Errors of every room: one enum, 0 is success. Only command/ and view/ speak to the user; the
 * rooms below return a code and, where a sentence needs a place, fill a caller's text buffer. */
#ifndef PASSO_ERROR_H
#define PASSO_ERROR_H

enum passo_error {
    PASSO_OK = 0,
    PASSO_ERR_RANGE,  /* a value outside its documented range */
    PASSO_ERR_SYNTAX, /* text that cannot be read as what it should be */
    PASSO_ERR_FULL,   /* a ring or a table has no room */
    PASSO_ERR_STATE,  /* a call that does not fit the object's state */
    PASSO_ERR_DEVICE, /* no sound device, or it went away */
    PASSO_ERR_FILE,   /* a file cannot be opened, read or written */
    PASSO_ERR_EXISTS, /* a file exists and was not to be overwritten */
    PASSO_ERROR_COUNT
};

#define PASSO_MUST_CHECK __attribute__((warn_unused_result))

/* A bug stops the program; bad input never does. Not for code on the audio thread. */
#define PASSO_BUG_ON(condition) ((condition) ? passo_bug(#condition, __FILE__, __LINE__) : (void)0)

/* What went wrong, in a few lower-case words ("no such value"); static. Thread: any. */
const char *passo_strerror(enum passo_error error);

/* Prints the broken invariant on stderr and aborts. Thread: any but the audio thread. */
_Noreturn void passo_bug(const char *condition, const char *file, int line);

/* What is to be done before the last words of passo_bug(): giving the terminal back. NULL: nothing.
 * Thread: main, before other threads. */
void passo_on_last_words(void (*before)(void));

/* malloc, calloc and realloc that abort when memory is out (the control side's policy). Free the
 * result with free(). Thread: any but the audio thread. */
void *passo_xcalloc(unsigned long count, unsigned long bytes);
void *passo_xrealloc(void *old, unsigned long bytes);
/* How they end; for those that must allocate by other means. */
_Noreturn void passo_out_of_memory(void);

#endif
