package takewright.audio;

import java.io.IOException;

/** A source that passes on the audio of another; subclasses change what happens on reading. */
public abstract class PassingSource implements AudioSource {
  /** The source of the audio. */
  protected final AudioSource source;

  protected PassingSource(AudioSource source) {
    this.source = source;
  }

  @Override
  public int sampleRate() {
    return source.sampleRate();
  }

  @Override
  public int channels() {
    return source.channels();
  }

  @Override
  public long frames() {
    return source.frames();
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    return source.read(planar, offset, count);
  }

  /** Closes the source that is passed on. */
  @Override
  public void close() throws IOException {
    source.close();
  }
}
