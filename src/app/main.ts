// The page's entry.
import './styles/tokens.css';
import './elements/kneepointApp.ts';
