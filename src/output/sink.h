/* One sound file that is being written: under another name until it is whole, in pieces, with the
 * first fault kept. Private to the room. Thread: one at a time. */
#ifndef PASSO_OUTPUT_SINK_H
#define PASSO_OUTPUT_SINK_H

#include "output/file.h"

/* Frames that are written at a time: a megabyte of 16-bit mono. Larger ones gain nothing on a disk
 * (measured), smaller ones cost up to a third more. */
#define SINK_PIECE_FRAMES ((size_t)1 << 19)

struct sink;

/* libsndfile's number of a kind at these bits; RF64 in place of WAV where `large`. */
int passo_sink_format(enum passo_file_kind kind, enum passo_file_bits bits, bool large);

/* Makes path.part for the job's kind, bits, length and tags. channels: 1 or 2. out_fault: one
 * sentence. Errors: PASSO_ERR_EXISTS, PASSO_ERR_FILE, PASSO_ERR_RANGE (the rate). */
enum passo_error passo_sink_open(const struct passo_file_job *job, const char *path,
                                 uint32_t rate_hz, int channels, struct sink **out_sink,
                                 char *out_fault, size_t fault_bytes);
/* Takes frames of each channel (right: of two channels only); left NULL: silence in all of them.
 * After a fault it takes nothing. */
void passo_sink_put(struct sink *sink, const float *left, const float *right, size_t frames);
/* Frames that went to the file so far, in whole pieces. */
int64_t passo_sink_written(const struct sink *sink);
/* The first fault as a clause, or NULL. Valid until the sink is closed. */
const char *passo_sink_fault(const struct sink *sink);
/* Writes what is left, ends the file and brings it to the disk; it keeps its .part. False: a fault.
 */
bool passo_sink_finish(struct sink *sink);
/* Gives a finished file its name, never that of another unless forced to. keep_old: until the sink
 * is closed, what had the name before is kept, where the file system can exchange two files. False:
 * a fault. */
bool passo_sink_name(struct sink *sink, bool keep_old);
/* Removes the file, whether it has its name or not; what had the name before gets it back, if it
 * was kept. */
void passo_sink_drop(struct sink *sink);
/* Frees the sink; a file without its name is dropped, and so is what was kept. NULL is fine. */
void passo_sink_close(struct sink *sink);

#endif
