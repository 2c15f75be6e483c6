/* The player: what runs on the audio thread. It walks timelines, starts voices and
 * tones at exact frames, mixes and limits them, and gives notice of what is heard and when.
 *
 * Two threads meet here. Control side: the conductor. Audio side: whichever output drives
 * passo_player_render(); outputs may take turns (the silent clock takes over from a lost device),
 * never at once. They share two rings (commands down, notices up), each with one writer and one
 * reader, and a few atomics; no lock.
 *
 * Frames count from the first rendered frame of the player's life; timelines are placed on that
 * line by their `start`. Rendering is a pure function of (state, commands, frame count): any split
 * into blocks gives the same samples, but that a command takes effect at a block's start. */
#ifndef PASSO_SOUND_PLAYER_H
#define PASSO_SOUND_PLAYER_H

#include <passo/timeline.h>
#include "sound/kit.h"
#include "sound/ring.h"

struct passo_player; /* opaque */

enum passo_notice_kind {
    PASSO_NOTICE_BEGAN, /* a timeline began: frame is its true first frame */
    PASSO_NOTICE_BEAT,  /* a click (also a silenced one): bar, beat, of, click */
    PASSO_NOTICE_BODY,
    PASSO_NOTICE_LAND,
    PASSO_NOTICE_ENDED,   /* walked to its end */
    PASSO_NOTICE_STOPPED, /* ended early by passo_player_stop(); frame says where */
    PASSO_NOTICE_LATE,    /* frames were lost or late on the device (underflow): beat holds no
                             place; frame is where it was told */
    PASSO_NOTICE_COUNT
};

/* heard_ns: when this frame leaves the loudspeaker, on the output's clock. */
struct passo_notice {
    uint64_t id;
    int64_t frame;
    int64_t heard_ns;
    int32_t bar;
    uint8_t kind; /* enum passo_notice_kind */
    uint8_t click;
    uint8_t beat;
    uint8_t of;
    bool silent; /* of BEAT: a silenced click */
};

/* ring_slots: capacity of each ring, a power of two (1024 in the program, tiny in tests).
 * The player takes over the kit's samples (the caller's struct is zeroed). Thread: control. */
struct passo_player *passo_player_create(struct passo_kit *kit, size_t ring_slots);
/* Frees the player, its kit and every timeline that it still holds; NULL is fine. Thread: control,
 * when no output renders. */
void passo_player_destroy(struct passo_player *player);
uint32_t passo_player_rate_hz(const struct passo_player *player);
/* Replaces the kit by one at another rate, when a device came back with it. The frame count starts
 * again at 0; timelines still held, cues and notices not yet read are dropped; the level stays.
 * Thread: control, when no output renders. */
void passo_player_rekit(struct passo_player *player, struct passo_kit *kit);

/* --- control side; PASSO_ERR_FULL when the ring is full, and then nothing was done --- */

/* Hands a timeline over, to begin at its start frame behind those handed over before (up to 4 may
 * wait), or at once if that frame has passed: the rest goes on until then. The player owns it
 * until it hands it back; on failure it stays the caller's. Its rate is the player's. At most 16
 * are out at a time, those whose ENDED or STOPPED was not read yet among them. */
PASSO_MUST_CHECK enum passo_error passo_player_play(struct passo_player *player,
                                                    struct passo_timeline *timeline);
/* Drops every timeline that waits and has not begun; those that have begun go on. */
PASSO_MUST_CHECK enum passo_error passo_player_withdraw(struct passo_player *player);
/* Ends the timeline that plays at frame `at` (a past frame: at once), before the events of that
 * frame, and drops those that wait when this is read. What sounds, a tone too, fades in 5 ms: no
 * click. Nothing playing: only the waiting ones go. Of two stops of one timeline the earlier frame
 * holds; one that ends before `at` ends as usual. */
PASSO_MUST_CHECK enum passo_error passo_player_stop(struct passo_player *player, int64_t at);
/* Sounds a cue at frame `at` (a past frame: at once). Up to 16 cues may wait. */
PASSO_MUST_CHECK enum passo_error passo_player_cue(struct passo_player *player, enum passo_cue cue,
                                                   int64_t at);
/* Drops cues that wait and have not begun. */
PASSO_MUST_CHECK enum passo_error passo_player_hush(struct passo_player *player);
/* Output level as linear gain, 0 to 1 (anything else is held to that), reached without a step
 * (10 ms), at once while nothing sounds. A new player's is 1. */
PASSO_MUST_CHECK enum passo_error passo_player_level(struct passo_player *player, float gain);
/* The oldest notice; false if there is none. */
bool passo_player_notice(struct passo_player *player, struct passo_notice *out_notice);
/* Frees the timelines that the audio side has handed back. Call about once a pass or oftener. */
void passo_player_reclaim(struct passo_player *player);
/* Frames rendered so far. Thread: any. */
int64_t passo_player_rendered(const struct passo_player *player);
/* The frame that is heard at now_ns, by the last block's stamp (design: the ear's time); -1 before
 * anything was rendered. A frame's own time, as told by a notice, leads back to it. Thread: any. */
int64_t passo_player_heard_frame(const struct passo_player *player, int64_t now_ns);
/* The same the other way: when `frame` is heard. Thread: any. */
int64_t passo_player_heard_ns(const struct passo_player *player, int64_t frame);

/* --- audio side --- */

/* Renders the next `frames` frames, mono, into out (NULL: walk only, synthesize nothing).
 * heard_ns: when the first of them will be heard, on the output's clock. */
PASSO_REALTIME void passo_player_render(struct passo_player *player, float *out, size_t frames,
                                        int64_t heard_ns);
/* The same with clicks and cues in one place and the tones in another, each behind the level and
 * the limiter; where the limiter has nothing to do, their sum is what passo_player_render() gives,
 * to a float's rounding. Neither is NULL. */
PASSO_REALTIME void passo_player_render_apart(struct passo_player *player, float *clicks,
                                              float *tones, size_t frames, int64_t heard_ns);
/* Tells that the device lost or delayed frames. */
PASSO_REALTIME void passo_player_late(struct passo_player *player);
/* The next frame at which something is due (an event, a cue, a waiting start), or INT64_MAX; for
 * outputs that walk simulated time. Commands not yet read count as due now. */
PASSO_REALTIME int64_t passo_player_next_due(struct passo_player *player);
/* Does anything sound at the next frame, before what is due there? If not, every frame until the
 * next due one is 0, also after the level has changed. */
PASSO_REALTIME bool passo_player_sounds(const struct passo_player *player);

#endif
