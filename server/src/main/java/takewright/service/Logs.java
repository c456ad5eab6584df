package takewright.service;

import ch.qos.logback.classic.AsyncAppender;
import ch.qos.logback.classic.Level;
import ch.qos.logback.classic.Logger;
import ch.qos.logback.classic.LoggerContext;
import ch.qos.logback.classic.encoder.PatternLayoutEncoder;
import ch.qos.logback.classic.spi.Configurator;
import ch.qos.logback.classic.spi.ILoggingEvent;
import ch.qos.logback.core.ConsoleAppender;
import ch.qos.logback.core.encoder.Encoder;
import ch.qos.logback.core.spi.ContextAwareBase;
import net.logstash.logback.encoder.LogstashEncoder;
import net.logstash.logback.fieldnames.LogstashFieldNames;
import org.slf4j.LoggerFactory;

/**
 * Configures the log on standard error: warnings and errors as text, since commands keep it for one
 * clear line, or everything as JSON, one object per line. Logback finds this class by its name.
 */
public final class Logs extends ContextAwareBase implements Configurator {
  /** The name of a field that is to be omitted. */
  private static final String LEFT_OUT = "[ignore]";

  /** Events waiting to be written; more are dropped, so that an unread log blocks no call. */
  private static final int WAITING = 4096;

  @Override
  public ExecutionStatus configure(LoggerContext log) {
    PatternLayoutEncoder text = new PatternLayoutEncoder();
    text.setPattern("%d{yyyy-MM-dd HH:mm:ss} %level %logger{0} - %msg%n");
    root(log, Level.WARN).addAppender(onStandardError(log, text));
    return ExecutionStatus.DO_NOT_INVOKE_NEXT_IF_ANY;
  }

  /** Logs everything as JSON from now on. */
  public static void asJson() {
    LoggerContext log = (LoggerContext) LoggerFactory.getILoggerFactory();
    LogstashEncoder json = new LogstashEncoder();
    LogstashFieldNames names = json.getFieldNames();
    names.setTimestamp("time");
    names.setLogger("logger");
    names.setVersion(LEFT_OUT);
    names.setThread(LEFT_OUT);
    names.setLevelValue(LEFT_OUT);
    AsyncAppender later = new AsyncAppender();
    later.setContext(log);
    later.setQueueSize(WAITING);
    later.setNeverBlock(true);
    later.addAppender(onStandardError(log, json));
    later.start();
    root(log, Level.INFO).addAppender(later);
  }

  /** Writes waiting events; nothing is logged afterwards. */
  public static void close() {
    ((LoggerContext) LoggerFactory.getILoggerFactory()).stop();
  }

  private static Logger root(LoggerContext log, Level level) {
    Logger root = log.getLogger(org.slf4j.Logger.ROOT_LOGGER_NAME);
    root.detachAndStopAllAppenders();
    root.setLevel(level);
    return root;
  }

  private static ConsoleAppender<ILoggingEvent> onStandardError(
      LoggerContext log, Encoder<ILoggingEvent> encoder) {
    encoder.setContext(log);
    encoder.start();
    ConsoleAppender<ILoggingEvent> out = new ConsoleAppender<>();
    out.setContext(log);
    out.setTarget("System.err");
    out.setEncoder(encoder);
    out.start();
    return out;
  }
}
