package takewright.render;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import javax.sound.midi.MetaMessage;
import javax.sound.midi.MidiEvent;
import javax.sound.midi.MidiSystem;
import javax.sound.midi.Sequence;
import javax.sound.midi.ShortMessage;
import javax.sound.midi.Track;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.diagnosis.FileProblemException;
import takewright.map.Player;
import takewright.map.Zone;
import takewright.name.NoteNames;

class ScoreTest {
  @TempDir Path folder;

  private static void add(Track track, long tick, int command, int a, int b) throws Exception {
    track.add(new MidiEvent(new ShortMessage(command, 0, a, b), tick));
  }

  /**
   * Written by the JDK, times by hand: 480 ticks a quarter, first 120, then 60 beats per minute.
   */
  @Test
  void aMidiFileKeepsItsTempoAndPedal() throws Exception {
    Sequence sequence = new Sequence(Sequence.PPQ, 480);
    Track tempo = sequence.createTrack();
    tempo.add(new MidiEvent(new MetaMessage(0x51, new byte[] {0x0f, 0x42, 0x40}, 3), 960));
    Track track = sequence.createTrack();
    add(track, 0, ShortMessage.NOTE_ON, 60, 80);
    add(track, 480, ShortMessage.NOTE_OFF, 60, 0);
    add(track, 960, ShortMessage.NOTE_ON, 62, 90);
    add(track, 1440, ShortMessage.NOTE_ON, 62, 0);
    add(track, 1440, ShortMessage.CONTROL_CHANGE, 64, 127);
    add(track, 1440, ShortMessage.NOTE_ON, 64, 100);
    add(track, 1680, ShortMessage.NOTE_OFF, 64, 0);
    add(track, 1920, ShortMessage.CONTROL_CHANGE, 64, 0);
    add(track, 1920, ShortMessage.NOTE_ON, 65, 101);
    add(track, 2400, ShortMessage.NOTE_ON, 7, 0);
    Path file = folder.resolve("a.mid");
    MidiSystem.write(sequence, 1, file.toFile());
    List<Player.NoteEvent> notes = Score.midi(file);
    assertEquals(4, notes.size());
    same(0, 0.5, 60, 80, notes.get(0));
    same(1, 1, 62, 90, notes.get(1));
    same(2, 1, 64, 100, notes.get(2));
    same(3, 1, 65, 101, notes.get(3));
  }

  private static void same(
      double start, double length, int key, int velocity, Player.NoteEvent note) {
    assertEquals(start, note.startS(), 1e-6);
    assertEquals(length, note.lengthS(), 1e-6);
    assertEquals(key, note.key());
    assertEquals(velocity, note.velocity());
  }

  @Test
  void aListIsPlayedOneAfterTheOther() throws IOException {
    List<Player.NoteEvent> notes = Score.list("C4 F#3:1.5@33 -:1, 67@127", NoteNames.DEFAULTS);
    same(0.25, 0.5, 60, 100, notes.get(0));
    same(0.75, 1.5, 54, 33, notes.get(1));
    same(3.25, 0.5, 67, 127, notes.get(2));
  }

  @Test
  void whatIsNoScoreIsSaidInOneLine() throws IOException {
    for (String bad : List.of("H4", "C4:", "C4@200", "C4:0", "129", "C4:1.2.3", "")) {
      FileProblemException e =
          assertThrows(FileProblemException.class, () -> Score.list(bad, NoteNames.DEFAULTS));
      assertTrue(e.getMessage().startsWith("`notes` "), e.getMessage());
    }
    Path file = folder.resolve("x.mid");
    Files.writeString(file, "MThd not really");
    assertTrue(
        assertThrows(FileProblemException.class, () -> Score.midi(file))
            .getMessage()
            .contains("Standard MIDI File"));
  }

  @Test
  void thePhraseGoesOverEveryKeyAndThroughEverySampleOfTheMiddle() {
    List<Zone> zones =
        List.of(
            new Zone("a", "s", "c", "p", 60, 58, 61, 1, 80, 1, 1, 0, null, null, 300, null),
            new Zone("b", "s", "c", "f", 60, 58, 61, 81, 127, 1, 2, 0, null, null, 300, null),
            new Zone("d", "s", "c", "f", 60, 58, 61, 81, 127, 2, 2, 0, null, null, 300, null));
    List<Player.NoteEvent> notes = Score.phrase(zones);
    assertEquals(
        List.of(58, 59, 60, 61, 60, 60, 60), notes.stream().map(Player.NoteEvent::key).toList());
    assertEquals(80, notes.get(4).velocity());
    assertEquals(127, notes.get(6).velocity());
  }

  /** From the lowest to the highest, a fifth apart, long enough to hear a loop come round. */
  @Test
  void thePhraseHoldsNotesOverTheWholeRangeWhereThereAreLoops() {
    List<Zone> zones = new ArrayList<>();
    List<Zone> without = new ArrayList<>();
    for (int key = 48; key <= 72; key += 2) {
      zones.add(new Zone("a", "s", "c", "p", key, key, key, 1, 127, 1, 1, 0, 9L, 99L, 300, null));
      without.add(
          new Zone("a", "s", "c", "p", key, key, key, 1, 127, 1, 1, 0, null, null, 300, null));
    }
    assertEquals(
        List.of(48, 56, 64, 72),
        Score.phrase(zones).stream()
            .filter(n -> n.lengthS() >= 4)
            .map(Player.NoteEvent::key)
            .toList());
    assertTrue(Score.phrase(without).stream().allMatch(n -> n.lengthS() < 4));
    List<Zone> few = zones.subList(0, 3);
    assertEquals(
        List.of(48, 52),
        Score.phrase(few).stream()
            .filter(n -> n.lengthS() >= 4)
            .map(Player.NoteEvent::key)
            .toList());
  }
}
