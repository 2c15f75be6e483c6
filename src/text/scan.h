/* Small readers that the whole room shares: phrases, numbers, UTF-8. Inside src/text/ only.
 * Thread: any but the audio thread. */
#ifndef PASSO_TEXT_SCAN_H
#define PASSO_TEXT_SCAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Every number that is read saturates here, far above anything musical. */
#define SCAN_NUMBER_MAX INT64_C(1000000000000)

/* Whether the whole of `text` is `pattern`; the numbers met go to out_number in order. A pattern
 * is words and signs set apart by single blanks:
 *   #  a whole number, with its sign if it has one
 *   ~  a number of zero or more, in thousandths, half up
 *   %  a share ("60 %", "62.5 percent"), in thousandths of the whole
 *   @  a time ("20 min", "90 s"), in milliseconds
 *   miss|misses  any of these words
 * Case and the number of blanks do not matter. */
bool scan_match(const char *text, const char *pattern, int64_t *out_number);

/* Skips blanks; then whether `word` stands there as a whole word, which is skipped too. */
bool scan_word(const char **at, const char *word);
/* Likewise a number of zero or more in thousandths, half up; out_whole: no point was written. */
bool scan_number(const char **at, int64_t *out_milli, bool *out_whole);
/* Likewise one character. */
bool scan_char(const char **at, char sign);
/* Skips blanks; whether the text ends there. */
bool scan_end(const char **at);
/* The next part of a text parted by `mark`: copies it without the blanks around it, cut to fit,
 * and moves on. False at the end. "a, b" has two parts, "a," too (the second is empty). */
bool scan_part(const char **at, char mark, char *out, size_t bytes);

/* Length of the UTF-8 character at `at`, or 0 if what stands there is none. */
size_t scan_utf8(const char *at, uint32_t *out_code);

/* A copy without the blanks around it; free it. */
char *scan_copy(const char *text);
/* The same in lower case (ASCII). */
char *scan_copy_lower(const char *text);

#endif
