"""The one style sheet: what Qt draws by itself, in our colours."""

from __future__ import annotations

from app.window.paper.palette import Palette


def style_sheet(c: Palette, scale: float) -> str:
    """Qt style sheet for the palette `c`; sizes are multiplied by `scale`."""

    def px(size: float) -> str:
        return f"{max(1, round(size * scale))}px"

    n = {
        name: getattr(c, name).name()
        for name in (
            *("paper", "leaf", "sel", "act_soft", "field", "rule", "rule2"),
            *("ink", "ink2", "ink3", "act", "on_act"),
        )
    }
    return f"""
QDialog {{ background: {n["paper"]}; color: {n["ink"]}; }}
QWidget {{ selection-background-color: {n["act"]}; selection-color: {n["on_act"]}; }}
QLabel {{ background: transparent; }}
QToolTip {{ background: {n["leaf"]}; color: {n["ink"]}; border: {px(1)} solid {n["rule2"]};
  padding: {px(3)} {px(6)}; font-size: {px(13)}; }}

QAbstractScrollArea, QScrollArea, QStackedWidget, QTableView {{ border: none;
  background: transparent; }}
QLineEdit, QPlainTextEdit, QComboBox {{
  background: {n["field"]}; color: {n["ink"]}; border: {px(1)} solid {n["rule2"]};
  border-radius: {px(2)}; padding: {px(3)} {px(8)}; min-height: {px(22)}; }}
QLineEdit, QPlainTextEdit {{ placeholder-text-color: {n["ink3"]}; }}
QPlainTextEdit {{ padding: {px(6)} {px(6)}; }}
QTextBrowser {{ border: {px(1)} solid transparent; }}
QTextBrowser:focus {{ border-color: {n["act"]}; }}
QLineEdit:focus, QPlainTextEdit:focus, QComboBox:focus {{ border: {px(2)} solid {n["act"]};
  padding: {px(2)} {px(7)}; }}
QPlainTextEdit:focus {{ padding: {px(5)} {px(5)}; }}
QLineEdit:disabled, QComboBox:disabled, QPlainTextEdit:disabled {{ background: {n["paper"]};
  color: {n["ink3"]}; border-style: dashed; }}
QLineEdit#writing, QLineEdit#writing:focus,
QComboBox QLineEdit, QComboBox QLineEdit:focus {{ background: transparent; border: none; padding: 0;
  min-height: 0; }}
QComboBox::drop-down {{ border: none; width: {px(22)}; }}
QComboBox QAbstractItemView {{ background: {n["field"]}; color: {n["ink"]}; outline: none;
  border: {px(1)} solid {n["rule2"]}; selection-background-color: {n["act_soft"]};
  selection-color: {n["ink"]}; padding: {px(2)}; }}
QComboBox QFrame {{ border: none; }}
QComboBox QAbstractItemView::item:selected {{ background: {n["act_soft"]}; color: {n["ink"]}; }}
QComboBox QAbstractItemView::item {{ min-height: {px(26)}; padding: 0 {px(8)}; }}

QPushButton {{ background: {n["paper"]}; color: {n["ink"]}; border: {px(1)} solid {n["rule2"]};
  border-radius: {px(2)}; padding: 0 {px(16)}; min-height: {px(34)}; font-weight: 600; }}
QPushButton:focus {{ border: {px(2)} solid {n["act"]}; padding: 0 {px(15)};
  min-height: {px(32)}; }}
QPushButton:hover {{ background: {n["sel"]}; }}
QPushButton:default {{ background: {n["act"]}; color: {n["on_act"]};
  border-color: {n["act"]}; }}
QPushButton:disabled {{ border-style: dashed; color: {n["ink2"]}; background: {n["paper"]}; }}

QCheckBox {{ background: transparent; }}

QMenu {{ background: {n["field"]}; color: {n["ink"]}; border: {px(1)} solid {n["rule2"]};
  padding: {px(4)} 0; }}
QMenu::item {{ padding: {px(5)} {px(20)}; background: transparent; }}
QMenu::item:selected {{ background: {n["act_soft"]}; color: {n["ink"]}; }}
QMenu::item:disabled {{ color: {n["ink3"]}; }}
QMenu::separator {{ height: {px(1)}; background: {n["rule"]}; margin: {px(4)} 0; }}

QScrollBar:vertical {{ background: transparent; width: {px(10)}; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: {px(10)}; margin: 0; }}
QScrollBar::handle {{ background: {n["rule2"]}; border-radius: {px(2)}; }}
QScrollBar::handle:vertical {{ min-height: {px(28)}; margin: 0 {px(2)} 0 {px(3)}; }}
QScrollBar::handle:horizontal {{ min-width: {px(28)}; margin: {px(3)} 0 {px(2)} 0; }}
QScrollBar::handle:hover {{ background: {n["ink3"]}; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QAbstractScrollArea::corner {{ background: transparent; }}

QListView, QTreeView {{ background: {n["field"]}; border: {px(1)} solid {n["rule2"]};
  outline: none; }}
QListView::item:selected, QTreeView::item:selected {{ background: {n["act_soft"]};
  color: {n["ink"]}; }}
QHeaderView::section {{ background: {n["paper"]}; color: {n["ink2"]}; border: none;
  border-bottom: {px(1)} solid {n["rule2"]}; padding: {px(4)}; font-size: {px(12)};
  font-weight: 600; }}
"""
