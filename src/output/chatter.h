/* The sound libraries' chatter: while PortAudio is in use, file descriptor 2 leads into a file in
 * memory. Private to the room; what was caught is read by passo_devices_chatter(). */
#ifndef PASSO_OUTPUT_CHATTER_H
#define PASSO_OUTPUT_CHATTER_H

/* Diverts fd 2; every begin needs one end, and the last end leads fd 2 back. Thread: any. */
void passo_chatter_begin(void);
void passo_chatter_end(void);
/* Adds a line of our own to what is kept. Thread: any. */
void passo_chatter_note(const char *line);

#endif
