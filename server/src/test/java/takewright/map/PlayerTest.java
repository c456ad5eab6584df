package takewright.map;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.Clip;
import takewright.pitch.Pitch;

class PlayerTest {
  private static final int RATE = 48_000;

  private static Clip tone(double hz, double level, double seconds) {
    float[] x = new float[(int) (seconds * RATE)];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (level * Math.sin(2 * Math.PI * hz * i / RATE));
    }
    return Clip.of(RATE, x);
  }

  private static Zone zone(
      String file, int root, int low, int high, int lowVelocity, int highVelocity, int rr, int of) {
    return new Zone(
        file,
        "s",
        "close",
        "",
        root,
        low,
        high,
        lowVelocity,
        highVelocity,
        rr,
        of,
        0,
        null,
        null,
        200,
        null);
  }

  private static Player.Performance play(
      List<Zone> zones, Map<String, Clip> clips, Player.NoteEvent... notes) throws IOException {
    return Player.apply(zones, List.of(notes), RATE, z -> clips.get(z.file()).source());
  }

  private static double levelDb(Clip clip, double fromS, double toS) {
    double sum = 0;
    for (int i = (int) (fromS * RATE); i < (int) (toS * RATE); i++) {
      sum += clip.channel(0)[i] * clip.channel(0)[i];
    }
    return 10 * Math.log10(2 * sum / ((toS - fromS) * RATE) + 1e-15);
  }

  @Test
  void keysBesideTheRootAreInTune() throws IOException {
    Map<String, Clip> clips = Map.of("a", tone(440, 0.2, 3));
    List<Zone> zones = List.of(zone("a", 69, 62, 76, 1, 127, 1, 1));
    for (int key = 62; key <= 76; key++) {
      Clip played = play(zones, clips, new Player.NoteEvent(0, 1, key, 127)).audio();
      Pitch pitch = Analyse.pitch(played.slice(2400, 40_000), new AnalyseSettings(false, 440));
      assertEquals(key, pitch.midi());
      assertEquals(0, pitch.cents(), 0.5);
    }
  }

  @Test
  void roundRobinsTakeTurnsAndVelocitiesChoose() throws IOException {
    Map<String, Clip> clips =
        Map.of(
            "soft1", tone(1000, 0.01, 1),
            "soft2", tone(1000, 0.02, 1),
            "loud", tone(1000, 0.2, 1));
    List<Zone> zones =
        List.of(
            zone("soft1", 60, 60, 60, 1, 63, 1, 2),
            zone("soft2", 60, 60, 60, 1, 63, 2, 2),
            zone("loud", 60, 60, 60, 64, 127, 1, 1));
    Clip played =
        play(
                zones,
                clips,
                new Player.NoteEvent(4, 0.5, 60, 10),
                new Player.NoteEvent(0, 0.5, 60, 10),
                new Player.NoteEvent(2, 0.5, 60, 63),
                new Player.NoteEvent(6, 0.5, 60, 64))
            .audio();
    assertEquals(-40, levelDb(played, 0.1, 0.4), 0.1);
    assertEquals(-33.98, levelDb(played, 2.1, 2.4), 0.1);
    assertEquals(-40, levelDb(played, 4.1, 4.4), 0.1);
    assertEquals(-13.98, levelDb(played, 6.1, 6.4), 0.1);
  }

  @Test
  void aLoopHoldsAndTheReleaseGoesDownInItsTime() throws IOException {
    Map<String, Clip> clips = Map.of("a", tone(480, 0.2, 2));
    // 480 Hz is 100 frames per period.
    Zone looped =
        new Zone("a", "s", "close", "", 60, 55, 65, 1, 127, 1, 1, -6, 40_000L, 59_999L, 500, null);
    Clip played = play(List.of(looped), clips, new Player.NoteEvent(0, 10, 60, 127)).audio();
    for (double t = 0.5; t < 10; t += 0.5) {
      assertEquals(-19.98, levelDb(played, t - 0.1, t), 0.05);
    }
    // -60 dB in 500 ms, even in dB.
    assertEquals(-19.98 - 30, levelDb(played, 10.245, 10.255), 0.5);
    assertEquals(10.5 * RATE, played.frames(), 2);
  }

  @Test
  void aNoteThatRunsOutIsSaidAndALoopedOneIsHeld() throws IOException {
    Map<String, Clip> clips = Map.of("short", tone(440, 0.2, 1), "looped", tone(440, 0.2, 1));
    Zone unlooped = zone("short", 69, 69, 69, 1, 127, 1, 1);
    Zone looped =
        new Zone("looped", "s", "close", "", 57, 57, 57, 1, 127, 1, 1, 0, 4800L, 9599L, 200, null);
    Player.Performance played =
        play(
            List.of(unlooped, looped),
            clips,
            new Player.NoteEvent(0, 0.5, 69, 100),
            new Player.NoteEvent(1, 3, 69, 100),
            new Player.NoteEvent(5, 3, 57, 100));
    assertEquals(1, played.ranOut().size());
    assertEquals(1, played.ranOut().get(0).note().startS());
    assertEquals(1, played.ranOut().get(0).soundedS(), 0.01);
    assertTrue(levelDb(played.audio(), 3.5, 3.9) < -100, "it has ended");
    assertTrue(levelDb(played.audio(), 7.5, 7.9) > -30, "it is held");
  }

  @Test
  void whatNoZoneAnswersIsSaid() throws IOException {
    List<Zone> zones = List.of(zone("a", 60, 58, 62, 1, 127, 1, 1));
    Player.Performance played =
        play(
            zones,
            Map.of("a", tone(261.6, 0.2, 1)),
            new Player.NoteEvent(0, 1, 63, 90),
            new Player.NoteEvent(1, 1, 62, 90));
    assertEquals(List.of(new Player.NoteEvent(0, 1, 63, 90)), played.unplayed());
  }

  @Test
  void aLoudChordStaysBelowFullScale() throws IOException {
    List<Zone> zones = List.of(zone("a", 60, 48, 72, 1, 127, 1, 1));
    List<Player.NoteEvent> notes = new ArrayList<>();
    for (int key = 48; key <= 72; key++) {
      notes.add(new Player.NoteEvent(0, 1, key, 127));
    }
    Player.Performance played =
        play(zones, Map.of("a", tone(261.6, 0.8, 2)), notes.toArray(Player.NoteEvent[]::new));
    float peak = 0;
    for (float x : played.audio().channel(1)) {
      peak = Math.max(peak, Math.abs(x));
    }
    assertEquals(Math.pow(10, -1 / 20.0), peak, 1e-4);
    assertTrue(played.gainDb() < -6);
  }

  @Test
  void whatIsNoNoteIsRefused() {
    assertThrows(IllegalArgumentException.class, () -> new Player.NoteEvent(-1, 1, 60, 90));
    assertThrows(IllegalArgumentException.class, () -> new Player.NoteEvent(0, 0, 60, 90));
    assertThrows(IllegalArgumentException.class, () -> new Player.NoteEvent(0, 1, 128, 90));
    assertThrows(IllegalArgumentException.class, () -> new Player.NoteEvent(0, 1, 60, 0));
  }
}
