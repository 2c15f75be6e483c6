#!/usr/bin/env python3
"""Writes the MusicXML sheets of the tests: sheets.py FOLDER.

The music is typed here, bar by bar, in a shorthand: a note is STEP[#b]OCTAVE:TYPE, "r:TYPE" a rest.
TYPE is w h q e s t (whole to thirty-second), then "." for a dot, "3" "5" for tuplets (3 in the time
of 2, 5 in the time of 4). Behind it: "-" a tie begins, "_" one ends, "(" a slur begins, ")" one
ends, "'" staccato, "=" tenuto, ">" accent, "&" joins the chord of the note before. "g" in front:
a grace note. "<" goes back to the bar's beginning, for the second voice.

The tunes that have the name of one in tunes/ are that tune. goldens_sheets.sh says what another
program makes of the sheets."""
import sys
from fractions import Fraction as F

TYPES = {'w': (F(1), 'whole'), 'h': (F(1, 2), 'half'), 'q': (F(1, 4), 'quarter'),
         'e': (F(1, 8), 'eighth'), 's': (F(1, 16), '16th'), 't': (F(1, 32), '32nd')}
SIGNS = {'##': 2, '#': 1, '': 0, 'b': -1, 'bb': -2}
OPEN_SLURS = []
TUPLETS = {'3': (3, 2), '5': (5, 4)}


def note(token, divisions, voice):
    grace = token.startswith('g')
    if grace:
        token = token[1:]
    name, length = token.split(':')
    value, kind = TYPES[length[0]]
    dots = length.count('.')
    value = value * (2 - F(1, 2 ** dots))
    tuplet = next((TUPLETS[c] for c in length if c in TUPLETS), None)
    if tuplet:
        value = value * F(tuplet[1], tuplet[0])
    out = ['<note>']
    if grace:
        out.append('<grace/>')
    if '&' in length:
        out.append('<chord/>')
    if name == 'r':
        out.append('<rest/>')
    else:
        alter = SIGNS[name[1:-1]]
        out.append('<pitch><step>%s</step>%s<octave>%s</octave></pitch>' %
                   (name[0], '<alter>%d</alter>' % alter if alter else '', name[-1]))
    ticks = value * 4 * divisions
    assert ticks.denominator == 1, token
    if not grace:
        out.append('<duration>%d</duration>' % ticks)
    ties = [('-', 'start'), ('_', 'stop')]
    out += ['<tie type="%s"/>' % what for sign, what in ties if sign in length]
    out.append('<voice>%d</voice><type>%s</type>' % (voice, kind) + '<dot/>' * dots)
    if tuplet:
        out.append('<time-modification><actual-notes>%d</actual-notes><normal-notes>%d'
                   '</normal-notes></time-modification>' % tuplet)
    marks = ['<tied type="%s"/>' % what for sign, what in ties if sign in length]
    for sign in length:
        if sign == '(':
            OPEN_SLURS.append(len(OPEN_SLURS) + 1)
            marks.append('<slur type="start" number="%d"/>' % OPEN_SLURS[-1])
        if sign == ')':
            marks.append('<slur type="stop" number="%d"/>' % OPEN_SLURS.pop())
    played = [what for sign, what in [("'", 'staccato'), ('=', 'tenuto'), ('>', 'accent')]
              if sign in length]
    if played:
        marks.append('<articulations>%s</articulations>' % ''.join('<%s/>' % p for p in played))
    if marks:
        out.append('<notations>%s</notations>' % ''.join(marks))
    return ''.join(out) + '</note>', F(0) if grace or '&' in length else value


def measure(number, bar, divisions):
    out = [bar.get('attributes', ''), bar.get('direction', '')]
    voice, at = 1, F(0)
    for token in bar['notes'].split():
        if token == '<':
            out.append('<backup><duration>%d</duration></backup>' % (at * 4 * divisions))
            voice, at = voice + 1, F(0)
            continue
        text, value = note(token, divisions, voice)
        out.append(text)
        at += value
    return '\n'.join(line for line in out if line), bar.get('number', str(number))


def attributes(divisions=None, fifths=None, mode=None, time=None, transpose=None):
    out = ''
    if divisions:
        out += '<divisions>%d</divisions>' % divisions
    if fifths is not None:
        out += '<key><fifths>%d</fifths>%s</key>' % (
            fifths, '<mode>%s</mode>' % mode if mode else '')
    if time:
        out += '<time><beats>%s</beats><beat-type>%s</beat-type></time>' % tuple(time.split('/'))
    if transpose:
        out += ('<transpose><diatonic>%d</diatonic><chromatic>%d</chromatic>%s</transpose>' %
                (transpose[0], transpose[1],
                 '<octave-change>%d</octave-change>' % transpose[2] if transpose[2] else ''))
    return '<attributes>%s</attributes>' % out


def tempo(unit, dotted, number):
    return ('<direction placement="above"><direction-type><metronome><beat-unit>%s</beat-unit>%s'
            '<per-minute>%s</per-minute></metronome></direction-type></direction>' %
            (unit, '<beat-unit-dot/>' if dotted else '', number))


def sheet(path, title, parts, divisions, timewise=False, first=1):
    kind = 'timewise' if timewise else 'partwise'
    out = ['<?xml version="1.0" encoding="UTF-8"?>',
           '<!DOCTYPE score-%s PUBLIC "-//Recordare//DTD MusicXML 4.0 %s//EN" '
           '"http://www.musicxml.org/dtds/%s.dtd">' % (kind, kind.capitalize(), kind),
           '<score-%s version="4.0">' % kind, '<work><work-title>%s</work-title></work>' % title,
           '<part-list>']
    for i, (name, _) in enumerate(parts):
        out.append('<score-part id="P%d"><part-name>%s</part-name></score-part>' % (i + 1, name))
    out.append('</part-list>')
    bars = [[measure(first + n, bar, divisions) for n, bar in enumerate(part)] for _, part in parts]
    if timewise:
        for n in range(len(bars[0])):
            out.append('<measure number="%s">' % bars[0][n][1])
            for i in range(len(parts)):
                out += ['<part id="P%d">' % (i + 1), bars[i][n][0], '</part>']
            out.append('</measure>')
    else:
        for i in range(len(parts)):
            out.append('<part id="P%d">' % (i + 1))
            for text, number in bars[i]:
                out += ['<measure number="%s"%s>' % (number, ' implicit="yes"' if number == '0' else ''),
                        text, '</measure>']
            out.append('</part>')
    out.append('</score-%s>' % kind)
    with open(path, 'w', encoding='utf-8') as file:
        file.write('\n'.join(out) + '\n')


def bars(*texts, **special):
    out = [{'notes': text} for text in texts]
    for key, extra in special.items():
        out[int(key[3:])].update(extra)
    return out


LANTERN = bars(
    'F4:q',
    'Bb4:q Bb4:e. C5:s D5:q Bb4:q', 'Eb5:q F#5:q F#5:q F5:q', 'G5:h- G5:e_ F5:e Eb5:e D5:e',
    'C5:q Eb5:q D5:q C5:q', 'Bb4:q Bb4:e. C5:s D5:q F5:q', 'Ab5:q Ab5:q G5:q E5:q', 'F5:h. F4:q',
    'Bb4:h.',
    bar0={'attributes': attributes(8, -2, None, '4/4'),
          'direction': tempo('quarter', False, '112'), 'number': '0'})

GATES = bars(
    'E4:e F4:e G4:e A4:e B4:e C5:e D5:e', 'E5:e D5:e C5:e B4:q A4:q', 'B4:q C5:q D5:q',
    'E5:q D5:e C5:e B4:q.', 'A4:q B4:q C#5:q.', 'D#5:h..',
    bar0={'attributes': attributes(8, 0, 'phrygian', '2+2+3/8'),
          'direction': tempo('eighth', False, '210')},
    bar2={'attributes': attributes(time='3/4')}, bar3={'attributes': attributes(time='7/8')},
    bar4={'attributes': attributes(fifths=4, mode='lydian')})

HILL = bars(
    "A4:e' B4:e' C#5:e' D5:e'", "E5:q' F#5:q'(", "G#5:e') A5:s( B5:s C#6:q)",
    'A3:s( B3:s( C#4:s) D4:s) E4:s( F#4:s) G#4:e', 'A4:h',
    bar0={'attributes': attributes(8, 3, None, '2/4')})

CORNET = bars(
    'D5:e( E5:e)',
    'F#5:q. gG5:s F#5:e( E5:q) D5:q', "A5:h>- A5:q_ A4:q'",
    'B4:e3( C#5:e3 D5:e3) E5:s5 F#5:s5 G5:s5 A5:s5 B5:s5 A5:q= D5:q A4:q&', 'r:w',
    'D5:e E5:e F5:e G5:e A5:e', 'Bb5:q D5:q.(', 'C5:q) C5:q C5:q-', 'C5:h_ r:q',
    bar0={'attributes': attributes(60, 2, 'major', '4/4', (-1, -2, 0)),
          'direction': tempo('quarter', False, '96'), 'number': '0'},
    bar5={'attributes': attributes(fifths=-1, mode='minor', time='3+2/8'),
          'direction': tempo('quarter', True, '54.5')},
    bar7={'attributes': attributes(time='3/4')})

BASS = bars(
    'r:q',
    'C3:h G2:h < E3:q F3:q G3:h', 'C3:h E3:h& G2:h G3:h&', 'C3:w', 'D3:q F#2:q G2:q G2:q',
    'C3:q. C2:q', 'Bb1:q. G2:q', 'F2:h.', 'F2:h F2:q',
    bar0={'attributes': attributes(60, 0, 'major', '4/4'), 'number': '0'},
    bar5={'attributes': attributes(fifths=-3, mode='minor', time='3+2/8')},
    bar7={'attributes': attributes(time='3/4')})


def main(folder):
    sheet(folder + '/lantern-march.musicxml', 'The Lantern March', [('Tune', LANTERN)], 8, first=0)
    sheet(folder + '/seven-gates.musicxml', 'Seven Gates', [('Tune', GATES)], 8)
    sheet(folder + '/staccato-hill.musicxml', 'Staccato Hill', [('Tune', HILL)], 8)
    band = [('Cornet in B-flat', CORNET), ('Bass', BASS)]
    sheet(folder + '/marrowby-suite.musicxml', 'Marrowby Suite', band, 60, first=0)
    sheet(folder + '/marrowby-timewise.musicxml', 'Marrowby Suite', band, 60, timewise=True, first=0)


main(sys.argv[1])
