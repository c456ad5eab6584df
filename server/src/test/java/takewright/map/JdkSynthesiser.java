package takewright.map;

import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.lang.reflect.Method;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.util.List;
import java.util.Map;
import javax.sound.midi.Instrument;
import javax.sound.midi.InvalidMidiDataException;
import javax.sound.midi.MidiSystem;
import javax.sound.midi.MidiUnavailableException;
import javax.sound.midi.Receiver;
import javax.sound.midi.ShortMessage;
import javax.sound.midi.Soundbank;
import javax.sound.midi.Synthesizer;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioInputStream;
import takewright.audio.Clip;
import takewright.testing.Outside;

/** The JDK's own software synthesiser, playing a DLS file into an array instead of a line. */
public final class JdkSynthesiser {
  public static final int RATE = 44_100;

  private JdkSynthesiser() {}

  /**
   * A key held, then let go.
   *
   * @param startS when it is struck, in seconds
   * @param lengthS how long it is held
   */
  public record Note(int key, int velocity, double startS, double lengthS) {}

  public static Soundbank load(byte[] dls) throws IOException {
    try {
      return MidiSystem.getSoundbank(new ByteArrayInputStream(dls));
    } catch (InvalidMidiDataException e) {
      throw new AssertionError("the JDK cannot load it", e);
    }
  }

  /** Plays the first instrument of a DLS file, in stereo, with its reverberation off. */
  public static Clip play(byte[] dls, List<Note> notes, double seconds) throws Exception {
    return play(dls, notes, seconds, Map.of(), 0);
  }

  /**
   * Plays an instrument of a DLS file, in stereo.
   *
   * @param controllers what MIDI controllers are set to; with controller 91, reverberation is on
   * @param bank what controller 0 says
   */
  public static Clip play(
      byte[] dls, List<Note> notes, double seconds, Map<Integer, Integer> controllers, int bank)
      throws Exception {
    Synthesizer synthesiser = synthesiser();
    Class<?> streaming;
    try {
      // Its way to play into a stream is in a package that tests must be given (see the pom).
      streaming = Class.forName("com.sun.media.sound.AudioSynthesizer");
    } catch (ClassNotFoundException e) {
      throw Outside.missing("this Java has no software synthesiser");
    }
    Method open = streaming.getMethod("openStream", AudioFormat.class, Map.class);
    AudioFormat format = new AudioFormat(RATE, 16, 2, true, false);
    Map<String, Object> plain =
        Map.of(
            "reverb",
            controllers.containsKey(91),
            "chorus",
            false,
            "auto gain control",
            false,
            "interpolation",
            "sinc",
            "load default soundbank",
            false,
            "large mode",
            true);
    AudioInputStream stream = (AudioInputStream) open.invoke(synthesiser, format, plain);
    try {
      for (Instrument instrument : load(dls).getInstruments()) {
        if (!synthesiser.loadInstrument(instrument)) {
          throw new AssertionError("the JDK does not take the instrument");
        }
      }
      Receiver receiver = synthesiser.getReceiver();
      receiver.send(new ShortMessage(ShortMessage.CONTROL_CHANGE, 0, 7, 127), 0);
      receiver.send(new ShortMessage(ShortMessage.CONTROL_CHANGE, 0, 0, bank), 0);
      receiver.send(new ShortMessage(ShortMessage.PROGRAM_CHANGE, 0, 0, 0), 0);
      for (Map.Entry<Integer, Integer> set : controllers.entrySet()) {
        int to = set.getValue();
        receiver.send(new ShortMessage(ShortMessage.CONTROL_CHANGE, 0, set.getKey(), to), 0);
      }
      for (Note note : notes) {
        receiver.send(
            new ShortMessage(ShortMessage.NOTE_ON, 0, note.key, note.velocity),
            (long) (note.startS * 1e6));
        receiver.send(
            new ShortMessage(ShortMessage.NOTE_OFF, 0, note.key, 0),
            (long) ((note.startS + note.lengthS) * 1e6));
      }
      byte[] bytes = stream.readNBytes((int) (seconds * RATE) * 4);
      ByteBuffer samples = ByteBuffer.wrap(bytes).order(ByteOrder.LITTLE_ENDIAN);
      float[][] channels = new float[2][bytes.length / 4];
      for (int i = 0; i < channels[0].length; i++) {
        channels[0][i] = samples.getShort() / 32_768f;
        channels[1][i] = samples.getShort() / 32_768f;
      }
      return Clip.of(RATE, channels);
    } finally {
      synthesiser.close();
    }
  }

  private static Synthesizer synthesiser() {
    try {
      return MidiSystem.getSynthesizer();
    } catch (MidiUnavailableException e) {
      throw Outside.missing("this Java has no synthesiser");
    }
  }
}
