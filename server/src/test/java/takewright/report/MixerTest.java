package takewright.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Base64;
import java.util.List;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What the page's mixer makes of sounds, rendered by the browser's own Web Audio. */
class MixerTest {
  @TempDir static Path folder;

  private static Browser browser;

  @BeforeAll
  static void open() throws IOException {
    browser = new Browser(folder);
    Path sheet = PlantedSession.built(folder);
    ReportedBuild.run(sheet, folder.resolve("library"), progress -> {}, () -> false, false);
    browser.open(folder.resolve("library/report/index.html"), "attention");
  }

  @AfterAll
  static void close() {
    if (browser != null) {
      browser.close();
    }
  }

  /**
   * After its last frame a loop goes on with its first, as {@code smpl} says (RIFF MCI, 1994): the
   * end is played too.
   */
  @Test
  void aLoopTurnsRoundAtTheFrame() {
    @SuppressWarnings("unchecked")
    List<Number> heard =
        (List<Number>)
            browser.run(
                "const rate = 8000; const samples = new Float32Array(5000);"
                    + "for (let i = 0; i < 5000; i++) samples[i] = i / 32768;"
                    + "const audio = new OfflineAudioContext(1, 7000, rate);"
                    + "const source = Mixer.sourceOf(audio, { samples, rate, loop: [3000 / rate, (3999 + 1) / rate] });"
                    + "source.connect(audio.destination); source.start();"
                    + "return audio.startRendering().then((b) => Array.from(b.getChannelData(0), (x) => Math.round(32768 * x)))");
    assertEquals(7000, heard.size());
    for (int i = 0; i < heard.size(); i++) {
      int expected = i <= 3999 ? i : 3000 + (i - 3000) % 1000;
      assertEquals(expected, heard.get(i).intValue(), "frame " + i);
    }
  }

  @Test
  void aSoundOfThePageIsReadAsItWasWritten() {
    float[] x = new float[400];
    for (int i = 0; i < x.length; i++) {
      x[i] = (float) (0.3 * Math.sin(0.1 * i));
    }
    String wav = Base64.getEncoder().encodeToString(SoundBytes.wav(x, x.length, 44_100, 1));
    @SuppressWarnings("unchecked")
    List<Number> read =
        (List<Number>)
            browser.run(
                "const { samples, rate } = Mixer.decode('"
                    + wav
                    + "');"
                    + "return [rate, ...samples, Mixer.rmsDb(samples)]");
    assertEquals(44_100, read.get(0).intValue());
    for (int i = 0; i < x.length; i++) {
      assertEquals(x[i], read.get(1 + i).doubleValue(), 1.0 / 16_384, "frame " + i);
    }
    // A sine's RMS is 3.01 dB below its peak.
    assertEquals(20 * Math.log10(0.3) - 3.01, read.get(401).doubleValue(), 0.2);
  }

  @Test
  void aSwitchBetweenSoundsInStepStartsNothingAgain() {
    browser.find("#title").click(); // browsers play nothing before a person does something
    browser.run(
        "const tone = (hz) => Float32Array.from({ length: 88200 }, (_, i) => 0.1 * Math.sin(i * hz / 7000));"
            + "Player.play({ label: 'two', chosen: 0, fromS: 0, voices: [440, 550].map((hz) => ({ samples: tone(hz), rate: 44100, gainDb: 0, leadS: 0 })) })");
    browser.untilSoundIs("playing");
    Number began = (Number) browser.run("return Mixer.startedAt()");
    browser.until("it runs", () -> position() > 0.2);
    browser.run("Player.choose(1, 'the other')");
    assertEquals(1, ((Number) browser.run("return Mixer.chosen()")).intValue());
    assertEquals(began, browser.run("return Mixer.startedAt()"));
    assertTrue(position() > 0.2, "goes on from where it was");
    assertTrue(browser.text(".said").contains("the other"));
    browser.run("Player.stop()");
    browser.untilSoundIs("stopped");
  }

  private static double position() {
    return ((Number) browser.run("return Mixer.positionS() ?? 0")).doubleValue();
  }
}
